#pragma once

// trajectory.csv and odometry.csv of a map folder: the columns time_s,x_m,y_m,heading_rad,drive, a row a used scan,
// micrometres and microradians; headings in (-pi, pi].

#include <filesystem>
#include <string>
#include <vector>

#include "core/drive.hpp"
#include "graph/map.hpp"

namespace wainscot {

/// The optimised poses.
std::string trajectory_csv(const std::vector<TrajectoryRow>& trajectory);

/// The same rows by odometry alone.
std::string odometry_csv(const std::vector<TrajectoryRow>& trajectory);

}  // namespace wainscot
