#include "graph/adjust/odometry_noise.hpp"

#include <algorithm>
#include <cmath>
#include <random>

#include "graph/bounded_squares.hpp"

namespace wainscot {
namespace {

/// Of the redundancy matrix R of one part's residuals by their standard deviations: what is left of each once the
/// unknowns took their share.
struct Redundancy {
  double trace = 0.0;            ///< what is left of their number
  double trace_of_square = 0.0;  ///< of R R
};

/// One random vector of signs v says of both: v^T R v, and |R v|^2.
Redundancy redundancy_of(const std::vector<OdometryFactor>& factors, int part, const NormalFactor& factor,
                         const UnknownLayout& layout) {
  // Of 400 factors one probe's trace is good to about 5 per cent of their number: sqrt(2 / 400) and better.
  constexpr int kProbes = 4;
  std::minstd_rand random(static_cast<unsigned>(part + 1));
  const auto count = static_cast<Eigen::Index>(factors.size());
  Redundancy sum;
  for (int probe = 0; probe < kProbes; ++probe) {
    Eigen::VectorXd signs(count);
    Eigen::VectorXd weighted = Eigen::VectorXd::Zero(layout.size());
    for (std::size_t i = 0; i < factors.size(); ++i) {
      const OdometryFactor& f = factors[i];
      double& sign = signs[static_cast<Eigen::Index>(i)];
      sign = random() % 2 == 0 ? 1.0 : -1.0;
      const double weight = sign / (f.sd[part] * std::sqrt(f.robust));
      if (i > 0) weighted.segment<3>(layout.node(i)) += weight * f.by_from.row(part).transpose();
      weighted.segment<3>(layout.node(i + 1)) += weight * f.by_to.row(part).transpose();
      weighted.segment<kConstants>(layout.constants()) += weight * f.by_constants.row(part).transpose();
    }
    const Eigen::VectorXd taken = factor.solution(weighted);
    Eigen::VectorXd left = signs;
    for (std::size_t i = 0; i < factors.size(); ++i) {
      const OdometryFactor& f = factors[i];
      double moved = f.by_to.row(part).dot(taken.segment<3>(layout.node(i + 1))) +
                     f.by_constants.row(part).dot(taken.segment<kConstants>(layout.constants()));
      if (i > 0) moved += f.by_from.row(part).dot(taken.segment<3>(layout.node(i)));
      left[static_cast<Eigen::Index>(i)] -= moved / (f.sd[part] * std::sqrt(f.robust));
    }
    sum.trace += signs.dot(left) / kProbes;
    sum.trace_of_square += left.squaredNorm() / kProbes;
  }
  return sum;
}

}  // namespace

std::array<double, 3> found_odometry_noise(const std::vector<OdometryFactor>& factors,
                                           const std::array<double, 3>& ratio, const NormalFactor& factor,
                                           const UnknownLayout& layout) {
  // A motion between nodes that is exact to a twentieth of what is stated is not needed any better.
  constexpr double kLeast = 0.05;
  constexpr double kMost = 20.0;
  // Steps of Helmert's rule in one. Chosen by hand: where more were needed, walls tell hardly anything of the part.
  constexpr double kMostSteps = 4.0;
  std::array<double, 3> found = ratio;
  for (int part = 0; part < 3; ++part) {
    const Redundancy left = redundancy_of(factors, part, factor, layout);
    if (left.trace < kEnoughForVariance) continue;
    double squares = 0.0;
    for (const OdometryFactor& f : factors) {
      const double by_sd = f.residual[part] / f.sd[part];
      squares += kBoundedOne(by_sd * by_sd);
    }
    double& own = found[static_cast<std::size_t>(part)];
    const double exponent = std::clamp(left.trace / left.trace_of_square, 1.0, kMostSteps);
    own = std::clamp(own * std::pow(squares / (kBoundedOne.mean * left.trace), 0.5 * exponent), kLeast, kMost);
  }
  return found;
}

}  // namespace wainscot
