#pragma once

// How the lidar's plane leaves the level: on ridges of the floor, and in the hands of one who carries the robot.

#include <cstdint>
#include <vector>

#include "apps/simulator/motion.hpp"
#include "apps/simulator/plan.hpp"

namespace wainscot::simulator {

/// Greatest and least tilt are drawn for each crossing of a ridge; positive pitch lifts the nose, positive roll the
/// left side. Sampled every `kTiltStep_s`.
struct Tilt {
  double pitch_rad = 0.0;
  double roll_rad = 0.0;
};
constexpr double kTiltStep_s = 0.01;
std::vector<Tilt> tilt_on_ridges(const Plan& plan, const Motion& motion, std::uint64_t seed);

/// How a carried lidar is held at a moment; all 0 where it is not carried.
struct Hold {
  double raised_m = 0.0;
  Tilt tilt;
};
/// Sampled every `kTiltStep_s`; empty where nothing is carried.
std::vector<Hold> holds_while_carried(const Motion& motion, std::uint64_t seed);

}  // namespace wainscot::simulator
