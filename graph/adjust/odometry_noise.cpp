#include "graph/adjust/odometry_noise.hpp"

#include <algorithm>
#include <cmath>
#include <random>

#include "graph/bounded_squares.hpp"

namespace wainscot {
namespace {

/// How many of a part's residuals the unknowns take.
double taken_by_unknowns(const std::vector<OdometryFactor>& factors, int part, const NormalFactor& factor,
                         const UnknownLayout& layout) {
  // Of 400 factors one probe's trace is good to about 5 per cent of their number: sqrt(2 / 400) and better.
  constexpr int kProbes = 4;
  std::minstd_rand random(static_cast<unsigned>(part + 1));
  double sum = 0.0;
  for (int probe = 0; probe < kProbes; ++probe) {
    Eigen::VectorXd weighted = Eigen::VectorXd::Zero(layout.size());
    for (std::size_t i = 0; i < factors.size(); ++i) {
      const OdometryFactor& f = factors[i];
      const double sign = random() % 2 == 0 ? 1.0 : -1.0;
      const double weight = sign / (f.sd[part] * std::sqrt(f.robust));
      if (i > 0) weighted.segment<3>(layout.node(i)) += weight * f.by_from.row(part).transpose();
      weighted.segment<3>(layout.node(i + 1)) += weight * f.by_to.row(part).transpose();
      weighted.segment<kConstants>(layout.constants()) += weight * f.by_constants.row(part).transpose();
    }
    sum += weighted.dot(factor.solution(weighted));
  }
  return sum / kProbes;
}

}  // namespace

std::array<double, 3> found_odometry_noise(const std::vector<OdometryFactor>& factors,
                                           const std::array<double, 3>& ratio, const NormalFactor& factor,
                                           const UnknownLayout& layout) {
  // A motion between nodes that is exact to a twentieth of what is stated is not needed any better.
  constexpr double kLeast = 0.05;
  constexpr double kMost = 20.0;
  std::array<double, 3> found = ratio;
  for (int part = 0; part < 3; ++part) {
    const double left = static_cast<double>(factors.size()) - taken_by_unknowns(factors, part, factor, layout);
    if (left < kEnoughForVariance) continue;
    double squares = 0.0;
    for (const OdometryFactor& f : factors) {
      const double by_sd = f.residual[part] / f.sd[part];
      squares += kBoundedOne(by_sd * by_sd);
    }
    double& own = found[static_cast<std::size_t>(part)];
    own = std::clamp(own * std::sqrt(squares / (kBoundedOne.mean * left)), kLeast, kMost);
  }
  return found;
}

}  // namespace wainscot
