#include "graph/adjust/odometry_noise.hpp"

#include <algorithm>
#include <cmath>
#include <random>

#include "graph/bounded_squares.hpp"

namespace wainscot {
namespace {

/// How a factor's residual of one part changes with a step of the unknowns, to first order.
double change_of(const std::vector<OdometryFactor>& factors, std::size_t i, int part, const Eigen::VectorXd& step,
                 const UnknownLayout& layout) {
  const OdometryFactor& f = factors[i];
  double change = f.by_to.row(part).dot(step.segment<3>(layout.node(i + 1))) +
                  f.by_constants.row(part).dot(step.segment<kConstants>(layout.constants()));
  if (i > 0) change += f.by_from.row(part).dot(step.segment<3>(layout.node(i)));
  return change;
}

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
  Redundancy sum;
  for (int probe = 0; probe < kProbes; ++probe) {
    std::vector<double> signs(factors.size());
    Eigen::VectorXd weighted = Eigen::VectorXd::Zero(layout.size());
    for (std::size_t i = 0; i < factors.size(); ++i) {
      const OdometryFactor& f = factors[i];
      if (f.may_slip) continue;
      signs[i] = random() % 2 == 0 ? 1.0 : -1.0;
      const double weight = signs[i] / (f.sd[part] * std::sqrt(f.robust));
      if (i > 0) weighted.segment<3>(layout.node(i)) += weight * f.by_from.row(part).transpose();
      weighted.segment<3>(layout.node(i + 1)) += weight * f.by_to.row(part).transpose();
      weighted.segment<kConstants>(layout.constants()) += weight * f.by_constants.row(part).transpose();
    }
    const Eigen::VectorXd taken = factor.solution(weighted);
    for (std::size_t i = 0; i < factors.size(); ++i) {
      if (factors[i].may_slip) continue;
      const double by_sd =
          change_of(factors, i, part, taken, layout) / (factors[i].sd[part] * std::sqrt(factors[i].robust));
      const double left = signs[i] - by_sd;
      sum.trace += signs[i] * left / kProbes;
      sum.trace_of_square += left * left / kProbes;
    }
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
  const Eigen::VectorXd step = factor.solution();
  std::array<double, 3> found = ratio;
  for (int part = 0; part < 3; ++part) {
    const Redundancy left = redundancy_of(factors, part, factor, layout);
    if (left.trace < kEnoughForVariance) continue;
    double squares = 0.0;
    for (std::size_t i = 0; i < factors.size(); ++i) {
      if (factors[i].may_slip) continue;
      const double after = factors[i].residual[part] + change_of(factors, i, part, step, layout);
      const double by_sd = after / factors[i].sd[part];
      squares += kBoundedOne(by_sd * by_sd);
    }
    double& own = found[static_cast<std::size_t>(part)];
    const double exponent = std::clamp(left.trace / left.trace_of_square, 1.0, kMostSteps);
    own = std::clamp(own * std::pow(squares / (kBoundedOne.mean * left.trace), 0.5 * exponent), kLeast, kMost);
  }
  return found;
}

}  // namespace wainscot
