#pragma once

#include <cstdint>

#include <Eigen/Core>

#include "core/cell_values.hpp"
#include "core/occupancy_grid.hpp"

namespace wainscot {

/// What the scans of all visits say of a cell, whether beams ended there or went through.
struct VisitVotes {
  float log_odds = 0.0F;
  std::uint8_t crossed = 0;       ///< 1: some scan saw through
  std::uint8_t visits_there = 0;  ///< see ChangedCell; 255: so many or more
  std::uint8_t visits_gone = 0;
};

/// The beams that ended in a cell.
struct HitVotes {
  std::uint32_t scans = 0;                              ///< of which one did
  Eigen::Vector2f direction = Eigen::Vector2f::Zero();  ///< sum of their unit vectors
};

/// Of each cell of a frame, row by row from the lowest. Pages of hits are smaller, since a wall that runs along y has a
/// cell in a row.
struct CellVotes {
  GridFrame frame;
  CellValues<VisitVotes, 64> visits;
  CellValues<HitVotes, 16> hits;
};

}  // namespace wainscot
