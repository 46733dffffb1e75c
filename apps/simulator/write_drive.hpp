#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <string_view>

#include "apps/simulator/simulate.hpp"
#include "apps/simulator/surfaces.hpp"

namespace wainscot::simulator {

/// Makes a folder that `fill` writes into, and removes it where that fails. Throws InputError where something has the
/// name already, and where it cannot be written.
void write_folder(const std::filesystem::path& folder, const std::function<void(const std::filesystem::path&)>& fill);

/// Writes a file to the disk. Throws InputError.
void save(const std::filesystem::path& file, std::string_view text);

/// robot.yaml, with the gyro's section where there is one, and wheels.csv.
std::string robot_text(const Robot& robot, bool gyro);
std::string wheels_text(const std::vector<WheelCounts>& wheels);

/// Writes a drive folder: robot.yaml, wheels.csv or odometry.csv, scans.csv or returns.csv, and where there are
/// such gyro.csv, markers.csv, marker_map.csv, followed.csv, line_map.csv; truth.csv; see write_folder().
/// `range_step_m` of the plan sets the decimals of the ranges, four at most.
void write_drive(const SimulatedDrive& drive, const RobotSpec& robot, const std::filesystem::path& folder);

/// Writes the true faces as CSV: `x1_m,y1_m,x2_m,y2_m,kind,face`, the air on the left from 1 to 2. Throws InputError.
void write_surfaces(const Surfaces& surfaces, const std::filesystem::path& file);

}  // namespace wainscot::simulator
