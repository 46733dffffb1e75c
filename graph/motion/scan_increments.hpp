#pragma once

// How the lidar moved from scan to scan, by the scans alone: neither wheels nor the lidar's mounting are asked.
//
// Each scan is matched against the one before (point to line, scanmatch/icp.hpp), from where the motion so far would
// carry it; where that fits poorly, a search over the whole window follows. The chain of these matches says how the
// lidar moved during each sweep; with it the scans are corrected and matched again. At last scans that lie some way or
// turn apart are matched directly: one such increment is worth more than the sum of the short ones in between, as long
// as both scans see the same walls. Increments are what calibration needs of a lidar: A. Censi, A. Franchi, L.
// Marchionni, G. Oriolo, "Simultaneous calibration of odometry and sensor parameters for mobile robots", IEEE T-RO
// 29(2), 2013.

#include <cstddef>
#include <vector>

#include <Eigen/Core>

#include "core/drive.hpp"
#include "core/pose2.hpp"

namespace wainscot {

struct ScanIncrementOptions {
  double way_m = 0.25;          ///< a pair is closed after this way of the lidar
  double turn_rad = 0.35;       ///< or this turn (20 degrees): most walls are seen by both scans
  double longest_s = 3.0;       ///< or this time, standing included: what drifts between the clocks shows
  double min_overlap = 0.6;     ///< of returns with a partner; a poorer match is searched for, then left out
  double search_m = 0.6;        ///< half of the window of that search, consecutive scans
  double search_rad = 1.0;      ///< 57 degrees between two scans: a fast turn and a slow lidar
  double line_error_m = 0.004;  ///< what the returns on one line have in common, see IcpOptions
};

struct ScanIncrement {
  std::size_t from = 0;  ///< index into Drive::scans
  std::size_t to = 0;
  double begin_s = 0.0;  ///< the two scans' first beams, as Scan::time_s
  double end_s = 0.0;
  Pose2 motion;  ///< of the lidar: its frame at end_s in its frame at begin_s; lidar's axes, metres as measured (with
                 ///< robot.yaml's range_scale)
  /// Of `motion`, in the tangent space of its end. Errors of neighbouring increments are correlated, since the scan
  /// between them is in both.
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();
  double overlap = 0.0;  ///< returns with a partner / returns with a normal
};

struct ScanIncrements {
  std::vector<ScanIncrement> short_steps;  ///< between consecutive usable scans
  std::vector<ScanIncrement> long_steps;   ///< some way or turn apart, each from where the last one ended
  int scans = 0;                           ///< usable: with enough returns
  int lost = 0;                            ///< pairs of consecutive scans that fit nowhere: chain and increments break
};

/// Matches the drive's scans. Uses Drive::scans and the lidar's range constants and noise only. Empty for a drive with
/// fewer than two usable scans.
ScanIncrements find_scan_increments(const Drive& drive, const ScanIncrementOptions& options = {});

}  // namespace wainscot
