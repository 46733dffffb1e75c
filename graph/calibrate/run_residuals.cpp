#include "graph/calibrate/run_residuals.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

#include "core/small_samples.hpp"

namespace wainscot {
namespace {

RunResidual residual_of(const CalibrationRun& run, const Pose2& end) {
  RunResidual residual;
  residual.run = run.name;
  if (run.forward_m) residual.forward_m = *run.forward_m - end.x_m;
  if (run.left_m) residual.left_m = *run.left_m - end.y_m;
  if (run.turn_rad) residual.turn_rad = *run.turn_rad - end.heading_rad;
  return residual;
}

}  // namespace

std::vector<RunResidual> run_residuals(const RunEquations& equations, const RunAdjustment& adjusted,
                                       double odd_chance) {
  std::vector<RunResidual> all;
  for (std::size_t i = 0; i < equations.runs.runs.size(); ++i) {
    const CalibrationRun& run = equations.runs.runs[i];
    all.push_back(residual_of(run, end_of_run(run.wheels, equations.geometry(adjusted.unknowns(), i))));
  }
  constexpr double kUnchecked = 1e-4;  // of its own measurement nothing is left once the constants are estimated
  const std::vector<MeasuredRow>& rows = equations.rows;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const auto k = static_cast<Eigen::Index>(i);
    const double own = 1.0 - adjusted.leverages[k];
    if (own < kUnchecked) continue;
    static constexpr std::array<const char*, 3> kNames{"turn_deg", "left_m", "forward_m"};
    const double degrees = adjusted.degrees(rows[i].group);
    const double found = adjusted.fit.residuals[k];
    const double left_out = found * found / own;
    const double freedom = degrees - 1.0;
    const double others = std::max(1e-3, (degrees - left_out) / freedom);
    RunResidual& residual = all[rows[i].run];
    const double ratio = std::abs(found) / std::sqrt(own * others);
    if (ratio <= residual.worst_ratio && !residual.worst.empty()) continue;
    residual.worst = kNames[static_cast<std::size_t>(rows[i].component)];
    residual.worst_ratio = ratio;
    residual.limit = student_t_two_sided(1.0 - odd_chance / static_cast<double>(rows.size()), freedom);
  }
  return all;
}

}  // namespace wainscot
