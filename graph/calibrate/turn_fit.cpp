#include "graph/calibrate/turn_fit.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include <Eigen/Dense>

#include "core/median.hpp"

namespace wainscot {

TurnFit fit_turns(const std::vector<ScanIncrement>& steps, const TickClock& clock, double offset_s) {
  const auto count = static_cast<Eigen::Index>(steps.size());
  Eigen::MatrixXd ticks(count, 2);
  Eigen::VectorXd turns(count);
  for (Eigen::Index i = 0; i < count; ++i) {
    const ScanIncrement& step = steps[static_cast<std::size_t>(i)];
    const Ticks from = clock.at(step.begin_s + offset_s);
    const Ticks to = clock.at(step.end_s + offset_s);
    ticks.row(i) << -(to.left - from.left), to.right - from.right;
    turns[i] = step.motion.heading_rad;
  }
  // Weights against slips and wrong matches: Cauchy's, with the scale of the residuals themselves.
  Eigen::VectorXd weights = Eigen::VectorXd::Ones(count);
  TurnFit fit;
  Eigen::VectorXd residuals;
  for (int round = 0; round < 6; ++round) {
    const Eigen::MatrixXd weighted = weights.asDiagonal() * ticks;
    fit.by_ticks =
        (ticks.transpose() * weighted + 1e-9 * Eigen::Matrix2d::Identity()).ldlt().solve(weighted.transpose() * turns);
    residuals = (turns - ticks * fit.by_ticks).cwiseAbs();
    const double scale = 3.0 * median({residuals.data(), residuals.data() + count}) + 1e-6;
    weights = (1.0 + (residuals / scale).array().square()).inverse();
  }
  std::vector<double> sorted(residuals.data(), residuals.data() + count);
  std::sort(sorted.begin(), sorted.end());
  sorted.resize(std::max<std::size_t>(1, sorted.size() * 9 / 10));
  for (const double r : sorted) fit.misfit_rad += r / static_cast<double>(sorted.size());
  return fit;
}

double find_offset_s(const std::vector<ScanIncrement>& steps, const TickClock& ticks, double widest_s) {
  // A grid, then a parabola through the best three.
  constexpr double kStep_s = 0.01;  // a scan's tenth; the parabola goes on from there
  const int half = static_cast<int>(std::lround(widest_s / kStep_s)) - 1;
  std::vector<double> misfits;
  for (int i = -half; i <= half; ++i) misfits.push_back(fit_turns(steps, ticks, i * kStep_s).misfit_rad);
  const auto best = std::min_element(misfits.begin(), misfits.end());
  const auto at = static_cast<std::size_t>(best - misfits.begin());
  const double offset = (static_cast<int>(at) - half) * kStep_s;
  if (at == 0 || at + 1 == misfits.size()) return 0.0;
  const double curve = misfits[at - 1] - 2.0 * misfits[at] + misfits[at + 1];
  const double slope = 0.5 * (misfits[at + 1] - misfits[at - 1]);
  return curve > 0.0 ? offset - kStep_s * std::clamp(slope / curve, -1.0, 1.0) : offset;
}

}  // namespace wainscot
