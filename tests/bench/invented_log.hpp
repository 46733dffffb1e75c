#pragma once

// Simulated drives as logs of invented layouts: what a converter has to find its way in.

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "core/drive.hpp"

namespace wainscot::bench {

/// A turn of the lidar as it was, angles in the lidar's frame as robot.yaml has it.
struct TrueTurn {
  double time_s = 0.0;
  std::vector<double> angles_rad, ranges_m;  ///< without beams that nothing answered
};

/// A log and what must come of it. Times are on the wheels' clock, from any origin.
struct InventedLog {
  std::vector<std::filesystem::path> files;
  std::string layout;               ///< for people
  std::vector<WheelCounts> wheels;  ///< forward positive, unwrapped
  double metres_per_tick = 0.0;     ///< of `wheels`, for logs of ways
  std::vector<TimedPose> odometry;
  std::vector<YawRate> gyro;  ///< counter-clockwise positive
  std::vector<TrueTurn> turns;
  double range_step_m = 0.001;  ///< of the log's numbers
  bool angles_told = false;     ///< the log says where the first range points
  double heading_deg = 0.0;     ///< of the lidar's mounting
  bool wheels_named = false;    ///< the log says which wheel is which
  bool beside_beams = false;    ///< the motion stands beside each beam, again and again
  bool own_clocks = false;      ///< files with clocks of their own
};

/// Draws a layout and writes the log of a simulated drive of `seconds` at most by it. The same seed gives the same
/// bytes. `scoring`: names from the spirits kept for scoring too.
InventedLog write_invented_log(std::uint64_t seed, bool scoring, double seconds, const std::filesystem::path& folder);

}  // namespace wainscot::bench
