#include "graph/check/closing_error.hpp"

#include <cmath>
#include <functional>
#include <numbers>

#include <Eigen/Dense>

#include "core/chi_squared.hpp"
#include "core/odometry.hpp"
#include "graph/check/explanation.hpp"
#include "scanmatch/correlative.hpp"
#include "scanmatch/normals.hpp"

namespace wainscot {
namespace {

std::vector<Eigen::Vector2d> ends_of(const std::vector<ScanPoint>& points) {
  std::vector<Eigen::Vector2d> ends;
  for (std::size_t i = 0; i < points.size(); i += 1 + points.size() / 240) {
    if (points[i].range_m < 8.0F) ends.emplace_back(points[i].x_m, points[i].y_m);
  }
  return ends;
}

/// The last scan's pose in the first one's frame, where they clearly see the same place.
std::optional<Pose2> recognised_end(const TurnScans& scans, const LidarMotion& motion, const LidarConstants& lidar,
                                    double sweep_s, const Pose2& expected) {
  // Of overlap, more than of a sure match: lower closes ends that are elsewhere (chosen by hand).
  constexpr double kClear = 0.75;
  const auto points = [&](std::size_t i) {
    std::vector<ScanPoint> result = unswept(scans.scans[i], scans.turns, sweep_s, motion.velocities[i]);
    estimate_normals(result, range_noise(lidar), kNormalsOfSingleScans);
    return result;
  };
  const std::vector<ScanPoint> first = points(0);
  const std::vector<ScanPoint> last = points(scans.scans.size() - 1);
  const SearchWindow window{1.5, 1.5, std::numbers::pi};
  const auto found =
      LikelihoodRaster(ends_of(first), {}).search(ends_of(last), {0.0, 0.0, expected.heading_rad}, window);
  if (!found) return std::nullopt;
  const LidarStride match = match_points(first, last, lidar, found->pose, kClear);
  if (!match.sure) return std::nullopt;
  // Both ways round: a part of a room lies in many rooms.
  const LidarStride back = match_points(last, first, lidar, inverse(match.motion), kClear);
  return back.sure ? std::optional(match.motion) : std::nullopt;
}

Pose2 end_of(const Drive& drive, double from_s, double to_s) {
  const OdometryPath path(odometry_steps(drive), {});
  return between(path.pose_at(from_s), path.pose_at(to_s));
}

Pose2 difference(const Pose2& a, const Pose2& b) {
  return {a.x_m - b.x_m, a.y_m - b.y_m, wrap_angle(a.heading_rad - b.heading_rad)};
}

Eigen::Vector3d vector_of(const Pose2& pose) { return {pose.x_m, pose.y_m, pose.heading_rad}; }

Pose2 sds_of(const Eigen::Matrix3d& covariance) {
  return {std::sqrt(covariance(0, 0)), std::sqrt(covariance(1, 1)), std::sqrt(covariance(2, 2))};
}

/// By changing each constant by its standard uncertainty.
Eigen::Matrix3d covariance_of_constants(const Drive& drive, const Pose2& end, double from_s, double to_s) {
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();
  if (drive.wheels.empty()) return covariance;
  const StatedSd sd = stated_sd(drive);
  const auto add = [&](double DriveConstants::*constant, double relative) {
    Drive changed;
    changed.robot = drive.robot;
    changed.wheels = drive.wheels;
    changed.breaks = drive.breaks;
    (*changed.robot.drive).*constant *= 1.0 + relative;
    const Eigen::Vector3d moved = vector_of(difference(end_of(changed, from_s, to_s), end));
    covariance += moved * moved.transpose();
  };
  add(&DriveConstants::left_m_per_tick, sd.scales(0));
  add(&DriveConstants::right_m_per_tick, sd.scales(1));
  add(&DriveConstants::track_width_m, sd.scales(2));
  return covariance;
}

double chi_squared(const Pose2& error, const Eigen::Matrix3d& covariance) {
  const Eigen::Vector3d e = vector_of(error);
  const Eigen::Vector3d floor(1e-4, 1e-4, 1e-4);  // 1 cm, half a degree: the match and the floor
  return e.dot((covariance + Eigen::Matrix3d(floor.asDiagonal())).ldlt().solve(e));
}

}  // namespace

std::optional<ClosingError> closing_error(const Drive& drive, const Drive& found, const TurnScans& scans,
                                          const LidarMotion& motion, double sweep_s, const ClockFit& clock) {
  if (motion.steps.empty()) return std::nullopt;
  const double from_s = clock.wheel_time_s(motion.steps.front().begin_s);
  const double to_s = clock.wheel_time_s(motion.steps.back().end_s);
  const LidarConstants& lidar = found.robot.lidar;
  const Pose2 mounting{lidar.x_m, lidar.y_m, lidar.heading_deg * std::numbers::pi / 180.0};
  const Pose2 as_found = end_of(found, from_s, to_s);
  constexpr double kDriftShare = 0.05;  // of the way: a robot that ends further off is in another place
  const OdometryPath path(odometry_steps(found), {});
  if (as_found.translation().norm() > 1.5 + kDriftShare * path.way_at_m(to_s)) return std::nullopt;
  const std::optional<Pose2> lidar_end =
      recognised_end(scans, motion, lidar, sweep_s, inverse(mounting) * as_found * mounting);
  if (!lidar_end) return std::nullopt;
  ClosingError closing;
  closing.true_end = mounting * *lidar_end * inverse(mounting);
  const Pose2 as_stated = end_of(drive, from_s, to_s);
  closing.error = difference(as_stated, closing.true_end);
  closing.error_as_found = difference(as_found, closing.true_end);
  const Eigen::Matrix3d of_constants = covariance_of_constants(drive, as_stated, from_s, to_s);
  Eigen::Matrix3d of_noise = stretch_covariance(odometry_steps(drive), odometry_noise(drive.robot), from_s, to_s);
  Eigen::Matrix3d turned = Eigen::Matrix3d::Identity();
  turned.topLeftCorner<2, 2>() = as_stated.rotation();
  of_noise = turned * of_noise * turned.transpose();
  closing.sd_of_constants = sds_of(of_constants);
  closing.sd_of_noise = sds_of(of_noise);
  // The constants found take half of chi squared away: otherwise slip is named (chosen by hand).
  constexpr double kCured = 0.5;
  const double gate = fault_gate(3);
  if (chi_squared(closing.error, of_constants + of_noise) > gate) {
    const double before = chi_squared(closing.error, of_noise);
    const double after = chi_squared(closing.error_as_found, of_noise);
    closing.cause = after < kCured * before ? ClosingCause::constants : ClosingCause::slip;
  }
  return closing;
}

}  // namespace wainscot
