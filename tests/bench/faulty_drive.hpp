#pragma once

// A simulated drive whose files are to be wrong, and the changes of them that can be taken back.

#include <cstdint>
#include <filesystem>
#include <string>

#include "apps/simulator/plan.hpp"
#include "apps/simulator/simulate.hpp"
#include "graph/check/log_check.hpp"

namespace wainscot::bench {

/// A drive as files will have it.
struct FaultyDrive {
  simulator::SimulatedDrive simulated;
  simulator::RobotSpec spec;  ///< how the files are written: range_unit_m
  double wheel_unit_s = 1.0;  ///< of the times of wheels.csv or odometry.csv and of gyro.csv
  double scan_unit_s = 1.0;   ///< of the times of scans.csv
};

/// A short drive through a small random home. `level`: "calibrated", "raw", or "like-recorded": robot, lidar and log as
/// in recordings of real robots.
simulator::Plan short_plan(std::uint64_t house, const std::string& level);

/// The drive's first seconds only.
void cut(simulator::SimulatedDrive& drive, double seconds);

/// Writes the drive's folder, robot.yaml with all keys.
void write_folder(const FaultyDrive& drive, const std::filesystem::path& folder);

/// Writes such a folder, reads it as `check` does and takes the folder away.
LogReadings written_and_read(const FaultyDrive& drive);

/// Leaves every so many-th beam of scans.csv only: a lidar that hardly anything answers.
void thin_out(simulator::SimulatedDrive& drive, std::size_t beams_kept);

/// The times of the tables in these units; what they were in before is undone.
void set_time_units(FaultyDrive& drive, double wheel_unit_s, double scan_unit_s);

/// Left and right ticks of wheels.csv change places.
void exchange_columns(FaultyDrive& drive);

/// The beams of scans.csv stand in the opposite order.
void reverse_beams(FaultyDrive& drive);

/// Of scans with the same ranges, one after the other, the first stays.
void drop_repeated_scans(FaultyDrive& drive);

}  // namespace wainscot::bench
