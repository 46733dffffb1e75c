#pragma once

// The last step of a calibration from a drive: all seven constants together, from where the linear steps ended.
//
// Residuals that lie near in time are alike (neighbouring increments share a scan, slip and floors last), so that the
// uncertainties come from the sums over a dozen blocks of the drive: K.-Y. Liang, S. L. Zeger, "Longitudinal data
// analysis using generalized linear models", Biometrika 73(1), 1986.

#include <vector>

#include <Eigen/Core>

#include "core/odometry.hpp"
#include "graph/calibrate/drive_constants.hpp"
#include "graph/calibrate/tick_clock.hpp"
#include "graph/motion/scan_increments.hpp"

namespace wainscot {

struct DriveAdjustment {
  DriveVector found = DriveVector::Zero();
  DriveMatrix covariance = DriveMatrix::Zero();
  int blocks = 0;  ///< whose sums the covariance comes from
};

/// At least two steps. What a drive leaves open stays near `start`.
DriveAdjustment adjust_drive(const std::vector<ScanIncrement>& steps, const TickClock& ticks,
                             const OdometryNoise& noise, const DriveVector& start);

}  // namespace wainscot
