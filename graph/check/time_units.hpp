#pragma once

// Times in milliseconds or less, in one table or in all: told by how often scans come and how long the tables last.

#include <vector>

#include "graph/check/finding.hpp"
#include "graph/check/readable_log.hpp"

namespace wainscot {

/// Seconds in one unit of each table's times: 1, 1e-3, 1e-6 or 1e-9.
struct TimeUnits {
  double scans_s = 1.0;
  double motion_s = 1.0;  ///< of wheels.csv or odometry.csv
  double gyro_s = 1.0;

  bool are_seconds() const { return scans_s == 1.0 && motion_s == 1.0 && gyro_s == 1.0; }
};

/// No lidar turns once in 40 s, and none 25 times a second and more; two tables of one drive last about as long.
/// Seconds where the tables do not agree on another unit.
TimeUnits time_units(const Drive& drive);

/// One finding where the times are no seconds, none where they are.
std::vector<Finding> time_findings(const TimeUnits& units, const Drive& drive);

/// The readings with all times in seconds.
LogReadings in_seconds(LogReadings readings, const TimeUnits& units);

}  // namespace wainscot
