#include "graph/calibrate/drive_adjustment.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

#include <Eigen/Dense>

#include "core/median.hpp"
#include "graph/least_squares.hpp"

namespace wainscot {
namespace {

/// The unknowns are of order one, differences from the start.
DriveVector constants_at(const DriveVector& start, const Eigen::VectorXd& x) {
  DriveVector v = start;
  v[kLeftPerTick] *= 1.0 + x[0];
  v[kRightPerTick] *= 1.0 + x[1];
  v[kTrackWidth] *= 1.0 + x[2];
  v.tail<4>() += x.tail<4>();
  return v;
}

/// Hold what a drive leaves open near the start: 100 % of the wheels, half a metre, a radian, a fifth of a second.
DriveVector hold() {
  DriveVector sd;
  sd << 1.0, 1.0, 1.0, 0.5, 0.5, 1.0, 0.2;
  return sd.cwiseInverse();
}

/// Of all increments: whitened, scaled to the scatter that the residuals show, and robust (Cauchy).
std::vector<Eigen::Matrix3d> increment_weights(const std::vector<ScanIncrement>& steps, const TickClock& ticks,
                                               const OdometryNoise& noise, const DriveVector& constants) {
  std::vector<Eigen::Matrix3d> weights;
  std::array<std::vector<double>, 3> sizes;
  std::vector<Eigen::Vector3d> whitened;
  for (const ScanIncrement& step : steps) {
    const Eigen::Matrix3d lower = increment_covariance(constants, ticks, noise, step).llt().matrixL();
    weights.push_back(lower.inverse());
    whitened.push_back(weights.back() * increment_difference(constants, ticks, step));
    for (std::size_t c = 0; c < 3; ++c) sizes[c].push_back(std::abs(whitened.back()[static_cast<Eigen::Index>(c)]));
  }
  Eigen::Vector3d scale;
  for (std::size_t c = 0; c < 3; ++c) {
    scale[static_cast<Eigen::Index>(c)] = std::max(0.05, median(sizes[c]) / kMedianOfNormal);
  }
  constexpr double kRobust = 3.0;  // where a step counts half of its square: hardly any gaussian one (chosen by hand)
  for (std::size_t i = 0; i < weights.size(); ++i) {
    const double size2 = whitened[i].cwiseQuotient(scale).squaredNorm() / 3.0;
    const double robust = 1.0 / std::sqrt(1.0 + size2 / (kRobust * kRobust));
    weights[i] = robust * scale.cwiseInverse().asDiagonal() * weights[i];
  }
  return weights;
}

/// Three rows an increment, then what holds the unknowns near the start.
Eigen::VectorXd residuals_at(const Eigen::VectorXd& x, const DriveVector& start,
                             const std::vector<ScanIncrement>& steps, const TickClock& ticks,
                             const std::vector<Eigen::Matrix3d>& weights) {
  const DriveVector v = constants_at(start, x);
  const auto count = static_cast<Eigen::Index>(steps.size());
  Eigen::VectorXd all(3 * count + kDriveConstants);
  for (Eigen::Index i = 0; i < count; ++i) {
    const auto k = static_cast<std::size_t>(i);
    all.segment<3>(3 * i) = weights[k] * increment_difference(v, ticks, steps[k]);
  }
  all.tail<kDriveConstants>() = hold().cwiseProduct(x);
  return all;
}

/// Of the unknowns, where residuals are correlated: by how the solution moves where a whole block of the drive is left
/// out (the delete-a-group jackknife: B. Efron, C. Stein, "The jackknife estimate of variance", Annals of Statistics 9,
/// 1981). One block often holds most of what shows a constant, the only long straight that of the lidar's heading: its
/// residuals are small because the solution follows them, and their own squares alone would call it too sure.
DriveMatrix block_covariance(const LeastSquares& fit, int count, int blocks) {
  const DriveMatrix whole = fit.jacobian.transpose() * fit.jacobian;
  const DriveMatrix bread = whole.inverse();
  DriveMatrix covariance = bread * DriveMatrix(hold().cwiseAbs2().asDiagonal()) * bread;
  for (int block = 0; block < blocks; ++block) {
    const int begin = count * block / blocks;
    const int rows = 3 * (count * (block + 1) / blocks - begin);
    const auto jacobian = fit.jacobian.middleRows(3 * begin, rows);
    const DriveVector pull = jacobian.transpose() * fit.residuals.segment(3 * begin, rows);
    const DriveMatrix without = whole - DriveMatrix(jacobian.transpose() * jacobian);
    const DriveVector moved = without.ldlt().solve(pull);
    covariance += moved * moved.transpose() * (blocks - 1.0) / blocks;
  }
  return covariance;
}

}  // namespace

DriveAdjustment adjust_drive(const std::vector<ScanIncrement>& steps, const TickClock& ticks,
                             const OdometryNoise& noise, const DriveVector& start) {
  constexpr int kRounds = 4;  // the weights change by less than a per cent after three
  Eigen::VectorXd x = Eigen::VectorXd::Zero(kDriveConstants);
  LeastSquares fit;
  for (int round = 0; round < kRounds; ++round) {
    const std::vector<Eigen::Matrix3d> weights = increment_weights(steps, ticks, noise, constants_at(start, x));
    fit =
        minimise_squares([&](const Eigen::VectorXd& at) { return residuals_at(at, start, steps, ticks, weights); }, x);
    x = fit.unknowns;
  }
  // Errors that neighbours share show in the sums of whole blocks. Chosen by hand: twelve tell a standard deviation to
  // a fifth (1 / sqrt(2 * 11)), and blocks of fewer than six steps share with the next what they should hold.
  constexpr int kMostBlocks = 12;
  constexpr int kFewestInBlock = 6;
  const auto count = static_cast<int>(steps.size());
  DriveVector unit = DriveVector::Ones();
  unit.head<3>() = start.head<3>().cwiseAbs();
  DriveAdjustment adjusted;
  adjusted.found = constants_at(start, x);
  adjusted.blocks = std::clamp(count / kFewestInBlock, 2, kMostBlocks);
  adjusted.covariance = unit.asDiagonal() * block_covariance(fit, count, adjusted.blocks) * unit.asDiagonal();
  return adjusted;
}

}  // namespace wainscot
