#pragma once

// What the robot itself knows of its motion: wheels.csv or odometry.csv, and the places where that knowledge breaks.

#include <cstddef>
#include <string>
#include <vector>

#include "core/drive.hpp"
#include "core/robot.hpp"
#include "io/files/file_reader.hpp"

namespace wainscot {

struct WheelLog {
  std::vector<WheelCounts> counts;  ///< times grow strictly; counts unwrapped, unchanged across a break
  std::vector<std::size_t> breaks;  ///< as Drive::breaks
  double guessed_m_per_tick = 0.0;  ///< what both wheels were taken to roll, where the constants do not say
};

struct PoseLog {
  std::vector<TimedPose> poses;     ///< times grow strictly; headings unwrapped, so that they have no step at +-180
  std::vector<std::size_t> breaks;  ///< as Drive::breaks
};

/// Reads wheels.csv. Counters wrap at `counter_bits`; a step that no robot of this kind can drive, or that leads back
/// to zero, is a restart. Where the constants are 0, they are guessed for this (io/log/guessed_ticks). Throws
/// `InputError`.
WheelLog read_wheels(FileReader& file, const DriveConstants& constants, std::vector<std::string>& warnings);

/// Reads odometry.csv, which counts in `units`. A step that no robot of this kind can drive, or that leads back to the
/// first pose, is a jump. Throws `InputError`.
PoseLog read_odometry(FileReader& file, const OdometryUnits& units, std::vector<std::string>& warnings);

/// Reads truth.csv: as odometry.csv, but nothing is looked for in it. Throws `InputError`.
std::vector<TimedPose> read_truth(FileReader& file, std::vector<std::string>& warnings);

}  // namespace wainscot
