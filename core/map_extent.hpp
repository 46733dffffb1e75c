#pragma once

namespace wainscot {

/// How far from its frame's origin a house may lie. Beams are traced through the cells in single precision, which keeps
/// half a millimetre there; further off, a grid falls apart.
constexpr double farthest_house_m = 5000.0;

}  // namespace wainscot
