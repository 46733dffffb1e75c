#pragma once

// Pictures of a map as PNG files in memory.

#include <cstdint>
#include <string>
#include <vector>

#include "core/occupancy_grid.hpp"
#include "core/pose2.hpp"

namespace wainscot {

/// Length of a scale bar for a picture `width_m` wide: the largest of 1, 2, 5 times a power of ten that is at most a
/// quarter of it. `width_m` > 0.
double scale_bar_m(double width_m);

/// A coordinate that is a whole number of `step_m`, 1, 2 or 5 times a power of ten: with the decimals that it needs.
std::string coordinate_text(double metres, double step_m);

/// The grid alone, the top row the largest y: walls dark, free floor light, unseen transparent. A pixel is one cell, or
/// the likeliest wall of `cells_a_pixel` by as many cells (of the last row and column, as many as there are): a map
/// that is shown small keeps its walls.
std::vector<std::uint8_t> grid_png(const OccupancyGrid& grid, std::int32_t cells_a_pixel = 1);

struct PictureOptions {
  int width_px = 1400;     ///< about: a cell is a whole number of pixels, the seen part of the grid fills the width
  double margin_m = 0.5;   ///< round the seen part and the path
  bool odometry = true;    ///< draw odometry's path too, as far as widen_for_paths lets it
  bool simulated = false;  ///< say so in the picture
};

/// The grid with the paths of its drives, odometry's paths, coordinates beside the edges, a scale bar and a legend. Of
/// several drives the starts are numbered, and the paths have colours of their own.
std::vector<std::uint8_t> map_picture_png(const OccupancyGrid& grid, const std::vector<std::vector<Pose2>>& paths,
                                          const std::vector<std::vector<Pose2>>& odometry,
                                          const PictureOptions& options);

}  // namespace wainscot
