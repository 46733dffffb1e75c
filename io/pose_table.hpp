#pragma once

#include <filesystem>
#include <vector>

#include "core/drive.hpp"

namespace wainscot {

/// Reads a table of poses, columns time_s,x_m,y_m,heading_rad and optionally drive: truth.csv of a drive,
/// trajectory.csv and odometry.csv of a map. Of several drives, the rows of the first are given. Throws `InputError`.
std::vector<TimedPose> read_pose_table(const std::filesystem::path& file);

}  // namespace wainscot
