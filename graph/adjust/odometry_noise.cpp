#include "graph/adjust/odometry_noise.hpp"

#include <algorithm>
#include <cmath>
#include <random>

#include "graph/bounded_squares.hpp"

namespace wainscot {
namespace {

/// One part of what a factor measures, beside what the heading's error explains of it: a heading that went wrong on the
/// way puts the later way aside, and is no sideways slip.
struct OwnPart {
  double residual;
  double sd;
  Eigen::RowVector3d by_from;
  Eigen::RowVector3d by_to;
  Eigen::Matrix<double, 1, kConstants> by_constants;

  OwnPart(const OdometryFactor& f, int part) {
    Eigen::RowVector3d of = Eigen::RowVector3d::Unit(part);
    if (part < 2) of[2] = -f.covariance(part, 2) / f.covariance(2, 2);
    residual = of.dot(f.residual);
    sd = std::sqrt(of.dot(f.covariance * of.transpose()));
    by_from = of * f.by_from;
    by_to = of * f.by_to;
    by_constants = of * f.by_constants;
  }
};

/// How the residual of factor i changes with a step of the unknowns, to first order.
double change_of(const OwnPart& own, std::size_t i, const Eigen::VectorXd& step, const UnknownLayout& layout) {
  double change = own.by_to.dot(step.segment<3>(layout.node(i + 1))) +
                  own.by_constants.dot(step.segment<kConstants>(layout.constants()));
  if (i > 0) change += own.by_from.dot(step.segment<3>(layout.node(i)));
  return change;
}

/// Of the redundancy matrix R of one part's residuals by their standard deviations: what is left of each once the
/// unknowns took their share.
struct Redundancy {
  double trace = 0.0;            ///< what is left of their number
  double trace_of_square = 0.0;  ///< of R R
};

/// One random vector of signs v says of both: v^T R v, and |R v|^2.
Redundancy redundancy_of(const std::vector<OdometryFactor>& factors, const std::vector<OwnPart>& own, int part,
                         const NormalFactor& factor, const UnknownLayout& layout) {
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
      const double weight = signs[i] / (own[i].sd * std::sqrt(f.robust));
      if (i > 0) weighted.segment<3>(layout.node(i)) += weight * own[i].by_from.transpose();
      weighted.segment<3>(layout.node(i + 1)) += weight * own[i].by_to.transpose();
      weighted.segment<kConstants>(layout.constants()) += weight * own[i].by_constants.transpose();
    }
    const Eigen::VectorXd taken = factor.solution(weighted);
    for (std::size_t i = 0; i < factors.size(); ++i) {
      if (factors[i].may_slip) continue;
      const double by_sd = change_of(own[i], i, taken, layout) / (own[i].sd * std::sqrt(factors[i].robust));
      const double left = signs[i] - by_sd;
      sum.trace += signs[i] * left / kProbes;
      sum.trace_of_square += left * left / kProbes;
    }
  }
  return sum;
}

}  // namespace

NoiseRatio found_odometry_noise(const std::vector<OdometryFactor>& factors, const NoiseRatio& ratio,
                                const NormalFactor& factor, const UnknownLayout& layout) {
  // A motion between nodes that is exact to a twentieth of what is stated is not needed any better.
  constexpr double kLeast = 0.05;
  constexpr double kMost = 20.0;
  // Steps of Helmert's rule in one. Chosen by hand: where more were needed, walls tell hardly anything of the part.
  constexpr double kMostSteps = 4.0;
  const Eigen::VectorXd step = factor.solution();
  NoiseRatio found = ratio;
  for (int part = 0; part < 3; ++part) {
    std::vector<OwnPart> parts;
    parts.reserve(factors.size());
    for (const OdometryFactor& f : factors) parts.emplace_back(f, part);
    const Redundancy left = redundancy_of(factors, parts, part, factor, layout);
    if (left.trace < kEnoughForVariance) continue;
    double squares = 0.0;
    for (std::size_t i = 0; i < factors.size(); ++i) {
      if (factors[i].may_slip) continue;
      const double by_sd = (parts[i].residual + change_of(parts[i], i, step, layout)) / parts[i].sd;
      squares += kBoundedOne(by_sd * by_sd);
    }
    double& own = found[static_cast<std::size_t>(part)];
    const double exponent = std::clamp(left.trace / left.trace_of_square, 1.0, kMostSteps);
    own = std::clamp(own * std::pow(squares / (kBoundedOne.mean * left.trace), 0.5 * exponent), kLeast, kMost);
  }
  return found;
}

}  // namespace wainscot
