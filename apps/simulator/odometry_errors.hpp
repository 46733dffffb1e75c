#pragma once

// Errors of odometry that follow no slip in turns: way that is lost, heavy tails, unannounced slips, and slip that
// grows with the squares of the speeds.

#include <cstdint>

#include "apps/simulator/defects.hpp"
#include "apps/simulator/random.hpp"

namespace wainscot::simulator {

/// How the wheels turn, as a motion of the robot that would turn them so.
struct CountedMotion {
  double speed_m_s = 0.0;
  double turn_rate_rad_s = 0.0;
};

/// The knobs `slip_..._squared_rel` and `odometry_...` but the holds.
///
/// Errors of way and heading are drawn anew for each stretch of a metre or of 45 degrees, and come evenly over it. As
/// in recordings of six robots, whose scans are about so far apart, so that no finer law can be told.
class OdometryErrors {
 public:
  OdometryErrors(const Defects& defects, std::uint64_t seed);

  /// The wheels' motion over the next `step_s` > 0 in which the robot truly moves so; the same where all knobs are off.
  CountedMotion next(double speed_m_s, double turn_rate_rad_s, double step_s);

 private:
  double tailed();

  const Defects& defects_;
  Random stretches_;
  Random slips_;
  bool any_ = false;
  double speed_squared_rel_ = 0.0;
  double turn_squared_rel_ = 0.0;
  double lost_rel_ = 0.0;
  double way_error_rel_ = 0.0;
  double turn_error_rad_ = 0.0;
  double freedom_ = 0.0;
  double slips_per_m_ = 0.0;
  double stretch_left_ = 0.0;  ///< part of the stretch that is still to come
  double way_rel_ = 0.0;       ///< of the stretch
  double turn_rad_ = 0.0;      ///< of the stretch, whole
  double slip_left_s_ = 0.0;
  CountedMotion slip_;
};

}  // namespace wainscot::simulator
