#pragma once

// The wheels' constants, the lidar's mounting and the offset of its clock from any drive with scans, without a tape:
// what the wheels counted is held against how the lidar moved from scan to scan (graph/motion/scan_increments.hpp).
//
// Source: A. Censi, A. Franchi, L. Marchionni, G. Oriolo, "Simultaneous calibration of odometry and sensor parameters
// for mobile robots", IEEE T-RO 29(2):475, 2013. Turns are linear in left / width and right / width, whatever the
// mounting; with these the ways are linear in the width, the mounting's place and (cos, sin) of its heading, of which
// only the last two are tied, so that the least-squares solution is the lesser eigenvector of a 2 x 2 matrix. Both
// steps need no start value. The clock's offset, which that publication does not have, is the one with which the turns
// fit best. A last step adjusts all seven together, with the wheels' scatter as the drive shows it; intervals are
// Student's t with one degree of freedom less than there are blocks that the uncertainties come from.
//
// The stages, in their order: turn_fit.hpp, way_fit.hpp, drive_adjustment.hpp; what the drive could not show says
// missing_drives.hpp, and what it showed goes into the robot with calibrated_robot.hpp.
//
// The lidar's metre is the metre of all lengths: its own scale's uncertainty is in all of them.

#include <array>

#include "core/drive.hpp"
#include "graph/calibrate/drive_constants.hpp"
#include "graph/motion/scan_increments.hpp"

namespace wainscot {

struct DriveCalibrationOptions {
  double range_scale_sd = 0.005;  ///< relative: a hobby lidar's metre (see constant_prior())
  double widest_offset_s = 0.4;   ///< of the lidar's clock
};

struct DriveCalibration {
  DriveVector found = DriveVector::Zero();
  DriveMatrix covariance = DriveMatrix::Zero();
  std::array<bool, kDriveConstants> observed{};  ///< the drive shows it well enough to be used

  double degrees = 0.0;  ///< of freedom, of the standard uncertainties
  int increments = 0;
  double way_m = 0.0;       ///< of the increments
  double straight_m = 0.0;  ///< part of the way without turning
  double left_turn_rad = 0.0;
  double right_turn_rad = 0.0;
  double residual_m = 0.0;  ///< RMS of the lidar's way, found minus by the wheels
  double residual_rad = 0.0;

  double sd(DriveConstant c) const;
  double half_width(DriveConstant c) const;  ///< of the interval that holds the truth with 95 %
};

/// Needs `Drive::wheels` and a robot.yaml with `drive`, whose values may be far off (even the wheels' signs and the
/// lidar's heading). Throws `PoorData` where there are too few increments to say anything.
DriveCalibration calibrate_drive(const Drive& drive, const ScanIncrements& increments,
                                 const DriveCalibrationOptions& options = {});

}  // namespace wainscot
