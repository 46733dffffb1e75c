#pragma once

// Calibration runs: short drives whose ends were measured with a tape (io/FORMATS.md, "Calibration runs").

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "core/drive.hpp"
#include "core/robot.hpp"

namespace wainscot {

/// One run: what the wheels counted, and where the robot really ended in the frame of its start.
struct CalibrationRun {
  std::string name;
  std::string surface;
  std::optional<double> forward_m;  ///< nullopt: not measured
  std::optional<double> left_m;
  std::optional<double> turn_rad;  ///< whole turns count
  std::optional<double> sd_m;      ///< standard uncertainty of forward_m and left_m; nullopt: not stated
  std::optional<double> sd_rad;    ///< and of turn_rad
  /// At least two. Where only totals are known these are the first and the last count, and the run is a straight or a
  /// turn on the spot, which are one arc each.
  std::vector<WheelCounts> wheels;
  bool whole_path = false;  ///< `wheels` is a log of the whole run
};

struct CalibrationRuns {
  Robot robot;  ///< in use when the runs were driven; `drive` is set
  std::vector<CalibrationRun> runs;
  std::vector<std::string> warnings;
};

}  // namespace wainscot
