#include "graph/calibrate/way_fit.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

namespace wainscot {
namespace {

using Matrix5 = Eigen::Matrix<double, 5, 5>;

/// Of the unknowns width, x, y, cos, sin: R(heading) s = width c + (R(turn) - 1) place, with s the lidar's way and c
/// the robot's at a width of 1.
Matrix5 normal_matrix(const std::vector<ScanIncrement>& steps, const TickClock& ticks, const Eigen::Vector2d& by_ticks,
                      double offset_s) {
  Matrix5 normal = Matrix5::Zero();
  for (const ScanIncrement& step : steps) {
    Pose2 robot;
    for (const Ticks& piece : ticks.pieces(step.begin_s + offset_s, step.end_s + offset_s)) {
      const double l = by_ticks[0] * piece.left;
      const double r = by_ticks[1] * piece.right;
      robot = robot * exp({0.5 * (l + r), 0.0, r - l});
    }
    const Eigen::Matrix2d turn = robot.rotation() - Eigen::Matrix2d::Identity();
    const Pose2& s = step.motion;
    Eigen::Matrix<double, 2, 5> row;
    row << -robot.translation(), -turn, (Eigen::Matrix2d() << s.x_m, -s.y_m, s.y_m, s.x_m).finished();
    normal += row.transpose() * row / (step.covariance(0, 0) + step.covariance(1, 1) + 1e-6);
  }
  return normal;
}

}  // namespace

DriveVector fit_ways(const std::vector<ScanIncrement>& steps, const TickClock& ticks, const Eigen::Vector2d& by_ticks,
                     double offset_s, double stated_width_m) {
  const Matrix5 normal = normal_matrix(steps, ticks, by_ticks, offset_s);
  // A weak hold on the place (1 m), which a drive without turns leaves open.
  Eigen::Matrix3d inner = normal.topLeftCorner<3, 3>();
  inner.diagonal() += Eigen::Vector3d(1e-3, 1.0, 1.0);
  const Eigen::Matrix<double, 3, 2> coupling = normal.topRightCorner<3, 2>();
  const Eigen::Matrix2d reduced =
      normal.bottomRightCorner<2, 2>() - coupling.transpose() * inner.ldlt().solve(coupling);
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> solver(reduced);
  Eigen::Vector2d direction = solver.eigenvectors().col(0);
  Eigen::Vector3d rest = -inner.ldlt().solve(coupling * direction);
  if (rest[0] < 0.0) {  // a width is positive: the other of the two directions that fit alike
    rest = -rest;
    direction = -direction;
  }
  DriveVector found;
  found[kTrackWidth] = std::clamp(rest[0], 0.2 * stated_width_m, 5.0 * stated_width_m);
  found[kLeftPerTick] = by_ticks[0] * found[kTrackWidth];
  found[kRightPerTick] = by_ticks[1] * found[kTrackWidth];
  found[kLidarX] = rest[1];
  found[kLidarY] = rest[2];
  found[kLidarHeading] = std::atan2(direction[1], direction[0]);
  found[kClockOffset] = offset_s;
  return found;
}

}  // namespace wainscot
