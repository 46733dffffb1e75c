#pragma once

// The wall pieces of a map that still stood when it was seen last. A map of several drives keeps the faces of things
// that were moved between them, since the earlier scans lie on them; its grid shows the house as it was seen last.

#include <vector>

#include <Eigen/Core>

#include "core/occupancy_grid.hpp"
#include "graph/map.hpp"

namespace wainscot {

struct StandingPiecesOptions {
  double reach_cells = 1.0;  ///< the wall's cells lie within this of its face, on either side
  double clear = 0.3;        ///< a cell less probably occupied is free floor; one never seen is not
};

/// Whether a cell along `piece` is anything but free floor. A piece of which no cell is on the grid stands.
bool stands(const WallPiece& piece, const OccupancyGrid& grid, const StandingPiecesOptions& options = {});

/// The pieces that stand, in their order.
std::vector<WallPiece> standing_pieces(const std::vector<WallPiece>& pieces, const OccupancyGrid& grid,
                                       const StandingPiecesOptions& options = {});

/// The length of the faces that do not stand, metres; pieces that overlap count each, those with less than two returns
/// a scan not at all.
double gone_length_m(const std::vector<WallPiece>& pieces, const OccupancyGrid& grid,
                     const StandingPiecesOptions& options = {});

/// Whether all cells on the straight way between two points are free floor, those within `apart_m` of its ends aside,
/// where walls are; what is not on the grid hinders nothing.
bool is_free_between(const Eigen::Vector2d& from_m, const Eigen::Vector2d& to_m, double apart_m,
                     const OccupancyGrid& grid, const StandingPiecesOptions& options = {});

}  // namespace wainscot
