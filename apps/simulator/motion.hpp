#pragma once

// The robot's true motion: somebody drives it along the route by hand.
//
// A unicycle whose speeds change with limited accelerations, steered towards a point a little ahead on the route (pure
// pursuit: R. C. Coulter, "Implementation of the pure pursuit path tracking algorithm", CMU-RI-TR-92-01), with a turn
// rate added that wanders like a hand. Sharp corners are turned on the spot.

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

/// States `kMotionStep_s` apart, the first at time 0.
class Motion {
 public:
  explicit Motion(std::vector<MotionState> states) : states_(std::move(states)) {}

  double duration_s() const { return static_cast<double>(states_.size() - 1) * kMotionStep_s; }
  /// State in between, linearly; times outside are brought to the nearer end.
  MotionState at(double time_s) const;
  const std::vector<MotionState>& states() const { return states_; }

 private:
  std::vector<MotionState> states_;
};

/// Drives the plan's route. Throws InputError where the route has fewer than two different points.
Motion drive_route(const Plan& plan, std::uint64_t seed);

}  // namespace wainscot::simulator
