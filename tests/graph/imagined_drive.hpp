#pragma once

// A drive whose wheels and whose lidar's motion come straight from the equations: no scans.

#include <cmath>
#include <cstdint>
#include <numbers>
#include <random>
#include <vector>

#include <Eigen/Core>

#include "core/drive.hpp"
#include "core/pose2.hpp"
#include "graph/motion/scan_increments.hpp"

namespace wainscot {

/// A drive of the wheels and what a lidar would say of it, straight from the equations: no scans.
struct ImaginedDrive {
  double left = 0.98e-4, right = 1.03e-4, width = 0.29;
  Pose2 mounting{0.06, -0.02, 100.0 * (std::numbers::pi / 180.0)};
  double offset_s = -0.035;  ///< added to the lidar's times
  double sd_m = 0.001, sd_rad = 0.001;

  struct Leg {
    double speed_m_s, rate_rad_s, time_s;
  };

  Drive drive;
  ScanIncrements increments;

  /// Drives the legs, speeds changing smoothly from one to the next.
  ImaginedDrive& go(const std::vector<Leg>& legs, int seed = 1) {
    DriveConstants stated;
    stated.left_m_per_tick = 1.2e-4;
    stated.right_m_per_tick = 1.2e-4;
    stated.track_width_m = 0.25;
    drive.robot.drive = stated;
    drive.robot.motion_noise = {1e-5, 1e-5};
    std::vector<TimedPose> path{{0.0, {}}};
    double l = 0.0, r = 0.0, v = 0.0, w = 0.0;
    constexpr double kStep_s = 0.005;
    double now_s = 0.0;
    const auto step = [&](double speed, double rate) {
      v += 0.03 * (speed - v);
      w += 0.03 * (rate - w);
      l += (v - 0.5 * w * width) * kStep_s;
      r += (v + 0.5 * w * width) * kStep_s;
      now_s += kStep_s;
      path.push_back({now_s, path.back().pose * exp({v * kStep_s, 0.0, w * kStep_s})});
      if (path.size() % 4 == 0) drive.wheels.push_back({now_s, std::llround(l / left), std::llround(r / right)});
    };
    for (int i = 0; i < 200; ++i) step(0.0, 0.0);
    for (const Leg& leg : legs) {
      for (int i = 0; i * kStep_s < leg.time_s; ++i) step(leg.speed_m_s, leg.rate_rad_s);
    }
    for (int i = 0; i < 200; ++i) step(0.0, 0.0);
    measure(path, seed);
    return *this;
  }

  void measure(const std::vector<TimedPose>& path, int seed) {
    std::mt19937_64 random(static_cast<std::uint64_t>(seed));
    std::normal_distribution<double> normal;
    constexpr std::size_t kSamples = 120;  // 0.6 s
    for (std::size_t i = 100; i + kSamples + 100 < path.size(); i += kSamples) {
      const Pose2 moved = between(path[i].pose * mounting, path[i + kSamples].pose * mounting);
      ScanIncrement step;
      step.begin_s = path[i].time_s - offset_s;
      step.end_s = path[i + kSamples].time_s - offset_s;
      const Tangent2 noise(sd_m * normal(random), sd_m * normal(random), sd_rad * normal(random));
      step.motion = moved * exp(noise);
      step.covariance = Eigen::Vector3d(sd_m * sd_m, sd_m * sd_m, sd_rad * sd_rad).asDiagonal();
      increments.long_steps.push_back(step);
    }
  }

  /// True values in the order of DriveConstant.
  Eigen::Matrix<double, 7, 1> truth() const {
    Eigen::Matrix<double, 7, 1> t;
    t << left, right, width, mounting.x_m, mounting.y_m, mounting.heading_rad, offset_s;
    return t;
  }
};

/// Straights, turns both ways and bends, 88 s.
inline std::vector<ImaginedDrive::Leg> varied() {
  std::vector<ImaginedDrive::Leg> legs;
  for (int i = 0; i < 4; ++i) {
    for (const ImaginedDrive::Leg& leg : std::vector<ImaginedDrive::Leg>{
             {0.3, 0.0, 5.0}, {0.0, 1.0, 3.0}, {0.3, 0.3, 4.0}, {0.0, -1.0, 4.0}, {0.25, -0.3, 4.0}, {0.3, 0.0, 2.0}}) {
      legs.push_back(leg);
    }
  }
  return legs;
}

}  // namespace wainscot
