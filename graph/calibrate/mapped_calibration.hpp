#pragma once

// A calibration from a drive, held against the map that the drive makes.

#include "core/drive.hpp"
#include "graph/calibrate/drive_calibration.hpp"

namespace wainscot {

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

}  // namespace wainscot
