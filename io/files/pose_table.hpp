#pragma once

#include <filesystem>
#include <vector>

#include "core/drive.hpp"

namespace wainscot {

struct DrivePose {
  double time_s = 0.0;
  Pose2 pose;
  int drive = 1;
};

/// Reads a table of poses of one or several drives, columns time_s,x_m,y_m,heading_rad and optionally drive:
/// trajectory.csv and odometry.csv of a map. Throws `InputError`.
std::vector<DrivePose> read_drive_poses(const std::filesystem::path& file);

/// Reads a table of poses, columns time_s,x_m,y_m,heading_rad and optionally drive: truth.csv of a drive,
/// trajectory.csv and odometry.csv of a map. Of several drives, the rows of the first are given. Throws `InputError`.
std::vector<TimedPose> read_pose_table(const std::filesystem::path& file);

}  // namespace wainscot
