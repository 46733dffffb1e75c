#pragma once

// How the lidar moved, by its scans alone: wheels and robot.yaml have no say, so that both can be judged by it.
//
// Each scan is matched against the one before (point-to-line ICP, after a correlative search where nothing is known).
// The motion within a sweep is taken from these matches themselves: M. Bosse, R. Zlot, "Continuous 3D scan-matching
// with a spinning 2D laser", ICRA 2009, do the same.

#include <cstddef>
#include <vector>

#include <Eigen/Core>

#include "core/drive.hpp"
#include "core/pose2.hpp"
#include "scanmatch/motion_correction.hpp"

namespace wainscot {

/// Scans as the search for faults needs them: ranges in metres, corrected by range_scale and range_offset_m,
/// `Return::time_offset_s` in turns of 360 degrees after the first beam, whatever the stated time of a turn.
struct TurnScans {
  std::vector<Scan> scans;  ///< those with enough returns to be matched
  double turn_s = 0.0;      ///< median time from one scan to the next, seconds; 0 for fewer than two scans
  double turns = 0.0;       ///< from a scan's first beam to its last one
  double stated_s = 0.0;    ///< what robot.yaml says of the time of a turn, or the median where it says nothing
};

/// The returns nearer than max_range_m of the scans with at least `fewest` of them.
TurnScans turn_scans(const std::vector<Scan>& scans, const LidarConstants& lidar, std::size_t fewest = 20);

/// The lidar's motion from the middle of one scan's sweep to that of another's: there an error of the velocity that the
/// scans are corrected by cancels.
struct LidarStride {
  std::size_t from = 0, to = 0;  ///< indices into TurnScans::scans
  double begin_s = 0.0, end_s = 0.0;
  Pose2 motion;            ///< of the lidar's frame, in its frame at `from`; m, rad
  double overlap = 0.0;    ///< of the returns, those that fell on a wall of the other scan, 0..1
  bool sure = false;       ///< matched well, and walls in all directions
  double misfit_m2 = 0.0;  ///< mean squared distance of the returns from the walls, those without one as at the gate
};

struct LidarMotion {
  std::vector<LidarStride> steps;    ///< from each scan to the next
  std::vector<Tangent2> velocities;  ///< of each scan in the middle of its sweep, lidar's frame: m/s, m/s, rad/s
};

struct LidarMotionOptions {
  double sweep_s = 0.0;        ///< time of a turn; negative: the beams are fired in the opposite order
  int corrections = 2;         ///< rounds of matching after correcting the scans by what the round before found
  double least_overlap = 0.6;  ///< of a sure match
  double fastest_m_s = 1.5;    ///< for the search where nothing is known: hobby robots drive slower,
  double fastest_rad_s = 6.0;  ///< and turn slower
  int threads = 0;             ///< 0: as many as the machine has; the result does not depend on it
};

/// Places a scan's returns in the lidar's frame in the middle of its sweep, for a lidar that moves with `velocity`.
std::vector<ScanPoint> unswept(const Scan& scan, double turns, double sweep_s, const Tangent2& velocity);

/// Matches each scan against the one before.
LidarMotion follow_lidar(const TurnScans& scans, const LidarConstants& lidar, const LidarMotionOptions& options);

/// Matches scans further apart, each from where the one before ended: `way_m` or `turn_rad` or `time_s` on by the
/// steps. Their errors are smaller than those of as many steps.
std::vector<LidarStride> long_strides(const TurnScans& scans, const LidarMotion& motion, const LidarConstants& lidar,
                                      const LidarMotionOptions& options, double way_m = 0.3, double turn_rad = 0.5,
                                      double time_s = 1.5);

/// The motion along the steps from one scan to a later one.
Pose2 along_steps(const LidarMotion& motion, std::size_t from, std::size_t to);

/// A match of one scan's points against another's, from a guess on.
LidarStride match_points(const std::vector<ScanPoint>& reference, const std::vector<ScanPoint>& points,
                         const LidarConstants& lidar, const Pose2& guess, double least_overlap);

}  // namespace wainscot
