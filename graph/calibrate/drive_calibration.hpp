#pragma once

// The wheels' constants, the lidar's mounting and the offset of its clock from any drive with scans, without a tape:
// what the wheels counted is held against how the lidar moved from scan to scan (graph/motion/scan_increments.hpp).
//
// Source: A. Censi, A. Franchi, L. Marchionni, G. Oriolo, "Simultaneous calibration of odometry and sensor parameters
// for mobile robots", IEEE T-RO 29(2):475, 2013. Turns are linear in left / width and right / width, whatever the
// mounting; with these the ways are linear in the width, the mounting's place and (cos, sin) of its heading, of which
// only the last two are tied, so that the least-squares solution is the lesser eigenvector of a 2 x 2 matrix. Both
// steps need no start value. The clock's offset, which that publication does not have, is the one with which the turns
// fit best. A last step adjusts all seven together, with the wheels' scatter as the drive shows it. Residuals that lie
// near in time are alike (neighbouring increments share a scan, slip and floors last), so that the uncertainties come
// from the sums over a dozen blocks of the drive: K.-Y. Liang, S. L. Zeger, "Longitudinal data analysis using
// generalized linear models", Biometrika 73(1), 1986; intervals are Student's t with one degree of freedom less than
// blocks.
//
// The lidar's metre is the metre of all lengths: its own scale's uncertainty is in all of them.

#include <array>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "core/drive.hpp"
#include "graph/motion/scan_increments.hpp"

namespace wainscot {

/// The unknowns, in this order in the covariance.
enum DriveConstant : int {
  kLeftPerTick,
  kRightPerTick,
  kTrackWidth,
  kLidarX,
  kLidarY,
  kLidarHeading,
  kClockOffset,
  kDriveConstants
};

struct DriveCalibrationOptions {
  double range_scale_sd = 0.005;  ///< relative: a hobby lidar's metre (see constant_prior())
  double widest_offset_s = 0.4;   ///< of the lidar's clock
};

struct DriveCalibration {
  /// m/tick, m/tick, m, m, m, rad, s. The offset is added to the lidar's times as the drive has them.
  Eigen::Matrix<double, kDriveConstants, 1> found = Eigen::Matrix<double, kDriveConstants, 1>::Zero();
  Eigen::Matrix<double, kDriveConstants, kDriveConstants> covariance =
      Eigen::Matrix<double, kDriveConstants, kDriveConstants>::Zero();
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

/// The same constants out of the mapper's joint adjustment of poses, walls and constants.
struct MappedCalibration {
  DriveCalibration calibration;   ///< covariance: the diagonal only
  double matched_fraction = 0.0;  ///< Quality::matched_fraction of the map that comes out
  bool trustworthy = false;       ///< Quality::trustworthy() of that map
};

/// Maps the drive with what `found` says in place of robot.yaml and wide priors around it. `threads`: 0, all. Throws
/// `PoorData` where the drive cannot be mapped.
MappedCalibration refine_by_mapping(Drive drive, const DriveCalibration& found, int threads);

/// The increments' wheels and clock with the map's mounting of the lidar, whose heading is ten times as sure there.
/// Where the map is not to be trusted, or contradicts what the increments say of the mounting, all is as they say.
DriveCalibration with_mounting_of(const MappedCalibration& mapped, const DriveCalibration& increments);

/// The robot with what was observed in place of what robot.yaml says, standard uncertainties of the wheels included.
Robot calibrated_robot(const Robot& stated, const DriveCalibration& found);

/// What the drive could not show and which short drive would: one sentence each, none where all is observed.
std::vector<std::string> missing_drives(const DriveCalibration& found);

}  // namespace wainscot
