#pragma once

// Which of many drives are of one robot, and what their constants say of it together: the drive whose constant differs
// from its sisters', and what changed from drive to drive.
//
// Drives whose robot.yaml states the same count as one robot's: the constants that stay the same from day to day,
// lidar.x_m, y_m, heading_deg, range_scale and range_offset_m, and those of the wheels (as
// graph/extend/same_robot.cpp compares them). So several robots made alike, with one robot.yaml, are sisters too, and
// drives whose robot.yaml leaves the wheels out, or was refined in between, are not. Only constants that a drive
// observed count, and only those of maps that are good or usable.

#include <cstddef>
#include <string>
#include <vector>

#include "core/odd_values.hpp"
#include "core/ordered_change.hpp"
#include "io/overview/drive_row.hpp"

namespace wainscot {

/// One constant over the drives of one robot, in their order.
struct ConstantSeries {
  std::string name;
  std::string unit;
  std::vector<std::size_t> rows;       ///< of the overview, ascending
  std::vector<UncertainValue> values;  ///< as many
  /// `first` counts in this series. A value that is odd, while its neighbours are not, has no part in it: one drive
  /// that went wrong is no change of the robot.
  OrderedChange change;
};

struct FleetRobot {
  std::vector<std::size_t> rows;  ///< the drives, ascending; one at least
  std::vector<ConstantSeries> series;
};

/// A constant by which a drive differs from its sisters.
struct OddConstant {
  std::size_t row = 0;
  std::string name;
  std::string unit;
  UncertainValue found;
  double sisters = 0.0;          ///< the median of its sisters' and its own
  std::size_t sister_count = 0;  ///< without itself
};

struct Fleet {
  std::vector<FleetRobot> robots;     ///< those with most drives first, then by their first drive
  std::vector<std::size_t> robot_of;  ///< of each row; `kNoRobot` where nothing is stated
  std::vector<OddConstant> odd;       ///< by row, then as summary.json has them
};

inline constexpr std::size_t kNoRobot = static_cast<std::size_t>(-1);

/// The probability that among all of an overview's drives one is called odd, or that one robot is said to have changed,
/// where all is chance: shared evenly among all values, and among all series (Bonferroni: NIST/SEMATECH e-Handbook of
/// Statistical Methods, 7.4.7.3).
inline constexpr double kFalseAlarm = 0.05;

/// `rows` in the order in which they were driven, as far as their names tell.
Fleet fleet_of(const std::vector<DriveRow>& rows);

/// "drive.track_width_m 0.3010 m (standard uncertainty 0.0010 m), its 9 sisters' 0.2880 m".
std::string odd_sentence(const OddConstant& odd);

/// A sentence without its full stop; "" where nothing changed.
std::string change_sentence(const ConstantSeries& series, const std::vector<DriveRow>& rows);

}  // namespace wainscot
