#pragma once

// Where a measured run ends by its counts, and how sure such an end is.

#include <cstdint>
#include <vector>

#include <Eigen/Core>

#include "core/calibration_runs.hpp"
#include "core/odometry.hpp"
#include "core/pose2.hpp"

namespace wainscot {

/// The three constants of a differential drive.
struct WheelGeometry {
  double left_m_per_tick = 0.0;
  double right_m_per_tick = 0.0;
  double track_width_m = 0.0;
};

/// What a tape and a protractor are worth where a run does not say: standard uncertainties of a length and of a turn.
struct TapeSd {
  double length_m = 0.0;
  double turn_rad = 0.0;
};

/// What can be measured of an end, in the order in which a run's measurements are decorrelated.
enum EndComponent : int { kEndTurn, kEndLeft, kEndForward };

/// Change of a wheel's counter over the run, ticks.
double net_ticks(const CalibrationRun& run, std::int64_t WheelCounts::*wheel);

/// Where a run ends by its counts, in the frame of its start.
Pose2 end_of_run(const std::vector<WheelCounts>& wheels, const WheelGeometry& geometry);

/// The covariance that the wheels' own scatter gives the end, in the tangent space of the end (m, m, rad). `wheels`:
/// the whole path, at least two rows.
Eigen::Matrix3d scatter_of_end(const std::vector<WheelCounts>& wheels, const WheelGeometry& geometry,
                               const OdometryNoise& noise);

/// Covariance of the measured end in the order of EndComponent (rad, m, m): the wheels' scatter on the way, the
/// measurement, and how well the robot was aligned at the start, which a protractor measures no better than the end.
Eigen::Matrix3d covariance_of_end(const CalibrationRun& run, const WheelGeometry& geometry, const OdometryNoise& noise,
                                  const TapeSd& tape);

}  // namespace wainscot
