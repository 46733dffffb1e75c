#pragma once

#include <Eigen/Core>

#include "core/occupancy_grid.hpp"

namespace wainscot {

/// Shortens a way to its part inside the frame; false where there is none, both ends then as they were. The ends are in
/// cells from the frame's corner, and lie within the first and the last cell afterwards.
/// Source: Y.-D. Liang, B. A. Barsky, "A new concept and method for line clipping", ACM Trans. Graphics 3(1), 1984.
bool clip_to_frame(const GridFrame& frame, Eigen::Vector2d& from, Eigen::Vector2d& to);

}  // namespace wainscot
