#pragma once

// How far each cell is from the nearest wall, as an image for programs that plan ways.

#include <string>
#include <vector>

#include "core/occupancy_grid.hpp"
#include "io/grid/grid_image.hpp"

namespace wainscot {

/// At least this probable is wall.
inline constexpr double clearance_wall_probability = 0.5;

struct Clearance {
  GridFrame frame;
  /// From the middle of a cell to the middle of the nearest cell that is wall, in metres; NaN for a cell never seen.
  /// Row by row, row 0 the lowest.
  std::vector<float> distance_m;
};

/// Exact Euclidean distances: P. F. Felzenszwalb, D. P. Huttenlocher, "Distance transforms of sampled functions",
/// Theory of Computing 8, 2012. Cells never seen are no walls. Throws std::invalid_argument where there is no wall.
Clearance clearance_of(const OccupancyGrid& grid);

/// ImageKind::tif: 32-bit floating point, metres, NaN where never seen. ImageKind::pgm: 16 bits, millimetres, 65535
/// where never seen and 65534 for all that is further. The top row is the largest y.
std::string clearance_image(const Clearance& clearance, ImageKind kind);

/// The sidecar's text: what a level means, where the image lies, and the caution. `raster` is the image's file name.
std::string clearance_yaml(const GridFrame& frame, const std::string& raster, ImageKind kind);

}  // namespace wainscot
