#pragma once

namespace wainscot {

/// How far from its frame's origin a map may lie, along x and along y. Beams are traced through the cells in single
/// precision: further off, it would no longer resolve a millimetre, and the grid would fall apart.
constexpr double largest_map_coordinate_m = 1e4;

}  // namespace wainscot
