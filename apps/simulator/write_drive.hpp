#pragma once

#include <filesystem>

#include "apps/simulator/simulate.hpp"
#include "apps/simulator/surfaces.hpp"

namespace wainscot::simulator {

/// Writes a drive folder: robot.yaml, wheels.csv or odometry.csv, scans.csv or returns.csv, gyro.csv where there is
/// one, truth.csv. All or nothing: a folder beside it is filled first and then renamed. Throws InputError where
/// `folder` is there already and `replace` is not set, where it is there and is not a drive, and where it cannot be
/// written. `range_step_m` of the plan sets the decimals of the ranges, four at most.
void write_drive(const SimulatedDrive& drive, const RobotSpec& robot, const std::filesystem::path& folder,
                 bool replace);

/// Writes the true faces as CSV: `x1_m,y1_m,x2_m,y2_m,kind,face`, the air on the left from 1 to 2. Throws InputError.
void write_surfaces(const Surfaces& surfaces, const std::filesystem::path& file);

}  // namespace wainscot::simulator
