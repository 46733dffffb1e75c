#pragma once

// A robot that drives a wavy way, its wheels' counts and how its lidar moved, all exact: what the fits must give back.

#include <cmath>
#include <vector>

#include "core/drive.hpp"
#include "core/odometry.hpp"
#include "graph/motion/lidar_motion.hpp"

namespace wainscot {

struct MadeRobot {
  double left_m_per_tick = 1e-4;
  double right_m_per_tick = 1e-4;
  double track_width_m = 0.3;
  Pose2 mounting{0.08, 0.03, 0.4};
  double lidar_late_s = 0.0;  ///< the lidar's stamps against the wheels' clock, in the middle
  double lidar_drift = 0.0;
  double way_factor = 1.0;  ///< 0: it turns on the spot only
};

struct MadeLog {
  Drive drive;  ///< wheels and robot; no scans
  std::vector<LidarStride> steps;
};

/// 60 s of driving at 0.3 m/s with bends of both signs; a stride of the lidar every 0.2 s.
inline MadeLog made_log(const MadeRobot& robot) {
  constexpr double kSeconds = 60.0;
  constexpr double kRowS = 0.005;
  MadeLog log;
  DriveConstants constants;
  constants.left_m_per_tick = robot.left_m_per_tick;
  constants.right_m_per_tick = robot.right_m_per_tick;
  constants.track_width_m = robot.track_width_m;
  log.drive.robot.drive = constants;
  std::vector<OdometryStep> motion;
  double left_m = 0.0;
  double right_m = 0.0;
  for (double t = 0.0; t <= kSeconds; t += kRowS) {
    log.drive.wheels.push_back(
        {t, std::llround(left_m / robot.left_m_per_tick), std::llround(right_m / robot.right_m_per_tick)});
    const double forward = robot.way_factor * kRowS * (0.3 + 0.1 * std::sin(0.31 * t));
    const double turn = kRowS * (0.9 * std::sin(0.7 * t) + 0.5 * std::sin(0.23 * t * (1.0 + 0.01 * t)));
    left_m += forward - 0.5 * robot.track_width_m * turn;
    right_m += forward + 0.5 * robot.track_width_m * turn;
    motion.push_back({t, t + kRowS, Tangent2(forward, 0.0, turn)});
  }
  const OdometryPath path(motion, {});
  const auto lidar_at = [&](double t) { return path.pose_at(t) * robot.mounting; };
  for (double t = 2.0; t + 0.2 < kSeconds - 2.0; t += 0.2) {
    const auto stamp = [&](double wheel_s) {
      return wheel_s + robot.lidar_late_s + robot.lidar_drift * (wheel_s - 0.5 * kSeconds);
    };
    LidarStride stride;
    stride.from = log.steps.size();
    stride.to = stride.from + 1;
    stride.begin_s = stamp(t);
    stride.end_s = stamp(t + 0.2);
    stride.motion = between(lidar_at(t), lidar_at(t + 0.2));
    stride.overlap = 1.0;
    stride.sure = true;
    log.steps.push_back(stride);
  }
  return log;
}

}  // namespace wainscot
