#pragma once

namespace wainscot {

/// How far from its frame's origin a house may lie. Beams are traced through the cells in single precision, which keeps
/// half a millimetre there; further off, a grid falls apart.
constexpr double farthest_house_m = 5000.0;

/// The most cells of a grid: a square kilometre of cells of 5 cm. What counts them is good for 2 billion.
constexpr double most_grid_cells = 4e8;

}  // namespace wainscot
