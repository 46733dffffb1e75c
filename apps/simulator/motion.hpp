#pragma once

// The robot's true motion: somebody drives it along the route by hand.
//
// A unicycle whose speeds change with limited accelerations, steered towards a point a little ahead on the route (pure
// pursuit: R. C. Coulter, "Implementation of the pure pursuit path tracking algorithm", CMU-RI-TR-92-01), with a turn
// rate added that wanders like a hand. Sharp corners are turned on the spot. Along a line on the floor the robot
// follows that by itself.

#include <cstdint>
#include <vector>

#include "apps/simulator/plan.hpp"

namespace wainscot::simulator {

constexpr double kMotionStep_s = 0.002;

/// The true state at one moment.
struct MotionState {
  Point position;            ///< of the robot's frame, in the house
  double heading_rad = 0.0;  ///< whole turns count
  double speed_m_s = 0.0;
  double turn_rate_rad_s = 0.0;
};

/// A stretch of time in which the wheels' surfaces do not follow the floor.
struct WheelsAstray {
  double from_s = 0.0;
  double to_s = 0.0;
  double left_held = 0.0;  ///< part of the way over the ground that the wheel does not turn; below 0: turns further
  double right_held = 0.0;
  double left_spin_m_s = 0.0;  ///< turns beyond the way over the ground
  double right_spin_m_s = 0.0;
};

/// A stretch of time in which the robot is carried: its speeds are those of its frame above the floor.
struct Carried {
  double from_s = 0.0;
  double to_s = 0.0;
};

/// States `kMotionStep_s` apart, the first at time 0.
class Motion {
 public:
  explicit Motion(std::vector<MotionState> states) : states_(std::move(states)) {}
  Motion(std::vector<MotionState> states, std::vector<WheelsAstray> astray, std::vector<Carried> carried)
      : states_(std::move(states)), astray_(std::move(astray)), carried_(std::move(carried)) {}

  double duration_s() const { return static_cast<double>(states_.size() - 1) * kMotionStep_s; }
  /// State in between, linearly; times outside are brought to the nearer end.
  MotionState at(double time_s) const;
  const std::vector<MotionState>& states() const { return states_; }
  /// In rising order, none overlapping.
  const std::vector<WheelsAstray>& astray() const { return astray_; }
  const std::vector<Carried>& carried() const { return carried_; }
  bool is_carried(double time_s) const;

 private:
  std::vector<MotionState> states_;
  std::vector<WheelsAstray> astray_;
  std::vector<Carried> carried_;
};

/// Drives the plan's route, with its slips and lifts. Throws InputError where the route has fewer than two different
/// points.
Motion drive_route(const Plan& plan, std::uint64_t seed);

}  // namespace wainscot::simulator
