#pragma once

// Returns from between two surfaces. The spot of a beam that lies half on an edge and half on what is behind it is
// answered from anywhere between the two, where nothing is: mixed pixels (P. Tang, D. Huber, B. Akinci, "A comparative
// analysis of depth-discontinuity and mixed-pixel detection algorithms", 3DIM 2007).

#include <cstddef>
#include <vector>

#include "scanmatch/motion_correction.hpp"

namespace wainscot {

/// Whether return `i`, of which no normal is known, was answered from clearly behind one of its neighbours, clearly
/// apart from the other, and lies on no straight wall with two of those beside it. What stands in front of both, as a
/// thin leg does, is not mixed. A neighbour whose beam met nothing, or gave nothing, counts as farther than all.
/// `points`: in firing order; those measured at `largest_m` or beyond met nothing. `spacing_rad`: see beam_spacing().
/// `noise_m`: standard deviation of a range.
bool is_mixed(const std::vector<ScanPoint>& points, std::size_t i, double spacing_rad, double largest_m,
              double noise_m);

}  // namespace wainscot
