#pragma once

// Calibration runs whose measurements are in another unit or of another sign than the counts: the whole table tells.

#include <cstddef>
#include <string>
#include <vector>

#include "core/calibration_runs.hpp"

namespace wainscot {

/// A measurement that does not go with the counts.
struct RunDoubt {
  std::size_t run = 0;   ///< which of the runs
  std::string what;      ///< "turn_deg is 6.28, but ..."
  bool refused = false;  ///< it cannot be meant; else something else may be meant, such as other constants or a slip
};

/// Holds each measurement against what the counts give by robot.yaml's constants, whose error of a tenth a wheel is
/// allowed for. It cannot be meant
/// - as the unit that the column names: where it is thirty times what the wheels rolled, or where all turns on the spot
///   are 57 times too small, as radians are;
/// - where the robot would have gone twice as far as its wheels, or the other way, while two other runs and more agree
///   with their counts. A robot that slips or is stuck goes less far, and where no run agrees, robot.yaml may be wrong.
std::vector<RunDoubt> doubted_units(const CalibrationRuns& runs);

}  // namespace wainscot
