#pragma once

// Where a drive that comes back to its start ends by odometry, and where it really ends: the test that a square or a
// triangle on the floor is driven for.

#include <optional>
#include <string>

#include "core/drive.hpp"
#include "graph/motion/clock_fit.hpp"
#include "graph/motion/lidar_motion.hpp"
#include "graph/motion/robot_fit.hpp"

namespace wainscot {

enum class ClosingCause { within_expectation, constants, slip };

/// In the frame of the start: x forward, y left, metres; heading in radians.
struct ClosingError {
  Pose2 true_end;         ///< by the first and the last scan
  Pose2 error;            ///< odometry's end - the true one, by robot.yaml's constants
  Pose2 error_as_found;   ///< the same by the constants that the scans found
  Pose2 sd_of_constants;  ///< standard deviations to be expected of the constants' uncertainty
  Pose2 sd_of_noise;      ///< and of motion_noise
  ClosingCause cause = ClosingCause::within_expectation;
};

/// nullopt: the drive does not end where its first scan can be recognised. `found`: the drive with the constants and
/// the mounting as found.
std::optional<ClosingError> closing_error(const Drive& drive, const Drive& found, const TurnScans& scans,
                                          const LidarMotion& motion, double sweep_s, const ClockFit& clock);

}  // namespace wainscot
