#pragma once

// Whether a map's grid can be as large as a drive asks for: before the long work, and once the places are known.

#include <cstddef>
#include <vector>

#include <Eigen/Geometry>

#include "core/drive.hpp"
#include "core/odometry.hpp"

namespace wainscot {

/// Throws `PoorData` where the grid of these scans, placed by `path`, would have too many cells however the map is
/// turned and however much odometry has drifted; it says what makes the map so large. `scans`: positions in
/// `drive.scans`.
void require_possible_grid(const Drive& drive, const std::vector<std::size_t>& scans, const OdometryPath& path,
                           double cell_size_m);

/// The same where the grid has to hold this box (m).
void require_possible_grid(const Drive& drive, const std::vector<std::size_t>& scans, const Eigen::AlignedBox2d& box_m,
                           double cell_size_m);

}  // namespace wainscot
