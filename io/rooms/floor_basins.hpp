#pragma once

// The floor cut at its narrow places: basins, each around a place that is further from the walls than what lies about
// it, and the passes between them. By immersion of the clearance, from the widest place down (L. Vincent, P. Soille,
// "Watersheds in digital spaces: an efficient algorithm based on immersion simulations", IEEE Transactions on Pattern
// Analysis and Machine Intelligence 13, 1991).

#include <cstddef>
#include <cstdint>
#include <vector>

#include "io/rooms/open_floor.hpp"

namespace wainscot {

/// Where two basins meet first: the widest place between them.
struct FloorPass {
  std::int32_t a = 0;
  std::int32_t b = 0;
  std::size_t cell = 0;
  float clearance = 0.0F;  ///< there, in cells
};

struct FloorBasins {
  std::vector<std::int32_t> of_cell;  ///< -1: not open, or taken
  std::int32_t count = 0;
  std::vector<FloorPass> passes;  ///< the widest first; a pair of basins may be there more than once
};

/// Cells that are `taken` belong to no basin, and are no walls. A basin that is not a cell wider than the pass to its
/// neighbour is part of that. Time grows with the number of cells.
FloorBasins floor_basins(const OpenFloor& floor, const std::vector<bool>& taken);

}  // namespace wainscot
