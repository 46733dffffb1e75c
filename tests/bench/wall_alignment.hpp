#pragma once

// How much of a map's wall lies on the walls of a floor map that others made, in a frame of its own.
//
// The best rigid motion is searched over all headings and places by branch and bound (scanmatch/correlative.hpp), and
// each of the best finds is refined by pairing every occupied cell with the nearest reference cell under a gate that
// narrows (Z. Zhang, "Iterative point matching for registration of free-form curves and surfaces", IJCV 13(2), 1994).
// The one under which most cells lie on walls is taken. The same input gives the same answer.

#include <cstddef>
#include <filesystem>
#include <vector>

#include <Eigen/Core>

#include "core/occupancy_grid.hpp"
#include "core/pose2.hpp"

namespace wainscot::bench {

/// A cell this near to a reference cell lies on a wall: the reference's cells have 10 cm, of which the middle or a
/// corner is given (up to 7 cm), and both maps err by some centimetres.
constexpr double kOnWall_m = 0.15;

/// Columns x_m,y_m: cells of wall, metres. Throws `InputError`.
std::vector<Eigen::Vector2d> read_reference_walls(const std::filesystem::path& file);

/// Middles of the cells that the grid calls occupied (probability above 0.5), map frame, metres; row by row.
std::vector<Eigen::Vector2d> occupied_cells(const OccupancyGrid& grid);

struct WallAlignment {
  Pose2 reference_map;       ///< pose of the map's frame in the reference's
  std::size_t cells = 0;     ///< occupied ones of the map
  double on_walls = 0.0;     ///< part of them within kOnWall_m of a reference cell
  double within_30cm = 0.0;  ///< part within 0.3 m, and
  double within_1m = 0.0;    ///< within 1 m: what is off by more is in the wrong place, or nobody's wall
};

/// Both not empty, else everything is 0.
WallAlignment align_to_walls(const std::vector<Eigen::Vector2d>& cells, const std::vector<Eigen::Vector2d>& walls);

}  // namespace wainscot::bench
