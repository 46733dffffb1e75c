#pragma once

// What a check of a log found: a fault, the figure that shows it, how sure that is, and what mends it.

#include <optional>
#include <string>
#include <vector>

#include "core/pose2.hpp"
#include "core/robot.hpp"
#include "graph/sentence.hpp"

namespace wainscot {

enum class Fault {
  time_unit,
  odometry_unit,
  heading_unit,
  gyro_unit,
  counter_wraps,
  dead_counter,
  lost_wheel_rows,
  doubled_wheel_rows,
  range_unit,
  largest_range,
  body_in_view,
  lost_scans,
  doubled_scans,
  too_little_seen,
  firing_order,
  sweep_time,
  unrelated,
  clock_offset,
  clock_drift,
  mirrored,
  swapped,
  left_backwards,
  right_backwards,
  both_backwards,
  lidar_turned,
  lidar_displaced,
  left_tick,
  right_tick,
  both_ticks,
  track_width,
  range_scale,
  gyro_sign,
  stuck,
  slip,
  lifted,
  too_fast
};

/// For machines: "left_backwards".
std::string fault_name(Fault fault);

/// Whether it is a wrong unit: what is said of it comes first, since all else may follow from it.
bool is_of_units(Fault fault);

struct Finding {
  Fault fault = Fault::unrelated;
  std::string what;                ///< one sentence
  std::string figure;              ///< what shows it, with its unit
  double confidence = 0.0;         ///< 0..1, that it is not chance
  std::vector<std::string> lines;  ///< of robot.yaml, "section.key: value"; empty where no line mends it
  std::string act;                 ///< what to do, where no line mends it or beside it; may be empty
  std::optional<Fault> or_else;    ///< what the evidence cannot tell this from
  std::optional<double> time_s;    ///< where it happened, the wheels' clock
  std::optional<Pose2> place;      ///< and where that was, by odometry from the start
};

/// A line of robot.yaml as `robot` has it; `key` as "lidar.mirrored". Throws std::out_of_range for a key that no
/// finding speaks of.
std::string robot_line(const Robot& robot, const std::string& key);

/// The probability that chance alone stays below `chi_squared`, at most 0.9999.
double confidence_of(double chi_squared, int degrees);

}  // namespace wainscot
