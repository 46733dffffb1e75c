#pragma once

// What is in a log, by itself: how much, how often, and with which gaps.

#include <cstddef>
#include <vector>

#include "core/drive.hpp"
#include "graph/check/finding.hpp"

namespace wainscot {

/// Rows that should come at a steady pace.
struct Pace {
  std::size_t rows = 0;
  double interval_s = 0.0;  ///< median
  std::size_t lost = 0;     ///< rows that are missing by the pace, where there is one
  double longest_s = 0.0;   ///< from one row to the next
  double longest_at_s = 0.0;
  bool steady = false;  ///< most intervals are about the median
};

struct LogContents {
  double duration_s = 0.0;
  double way_m = 0.0;  ///< by robot.yaml's constants
  double turned_rad = 0.0;
  double most_m_s = 0.0;  ///< fastest, over half a second
  double most_rad_s = 0.0;
  double standing_share = 0.0;  ///< of the time
  Pace motion;                  ///< wheels.csv or odometry.csv
  Pace scans;
  std::size_t gyro_rows = 0;
  double returns_per_scan = 0.0;  ///< median
  std::size_t breaks = 0;         ///< restarts of a counter, jumps of odometry
};

/// Way, turns and speeds are those of wheels or odometry alone: whether the gyro may be trusted, only the lidar tells.
LogContents log_contents(const Drive& drive);

/// Median of the way from each scan to the next, turns counted as 0.3 m a radian; by wheels or odometry, 0 without.
double way_between_scans_m(const Drive& drive);

/// Whether scans so far apart are one every so much of the way, not all that the lidar made.
bool are_far_apart(double way_m);

/// Wheels or odometry, breaks and robot of a drive: neither scans nor gyro.
Drive without_gyro(const Drive& drive);

/// Way, turns and speeds of `contents` as the drive's odometry has them, its gyro included.
void set_motion(const Drive& drive, LogContents& contents);

/// Lost and doubled rows and scans, a counter that never counts. `with_16_bits`: the counts and breaks that a reading
/// with 16-bit counters gives, or nullptr.
std::vector<Finding> log_findings(const Drive& drive, const LogContents& contents, const Drive* with_16_bits);

}  // namespace wainscot
