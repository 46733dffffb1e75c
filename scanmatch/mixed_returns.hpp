#pragma once

// Returns from between two surfaces. The spot of a beam that lies half on an edge and half on what is behind it is
// answered from anywhere between the two, where nothing is: mixed pixels (P. Tang, D. Huber, B. Akinci, "A comparative
// analysis of depth-discontinuity and mixed-pixel detection algorithms", 3DIM 2007).

#include <cstddef>
#include <vector>

#include "scanmatch/motion_correction.hpp"

namespace wainscot {

/// Whether return `i`, of which no normal is known, lies between its neighbours in depth, clearly apart from both, and
/// on no straight wall with two of those beside it. A thin leg, nearer than both its neighbours, does not. `points`: in
/// firing order; those measured at `largest_m` or beyond met nothing, and beside them nothing is known to be mixed.
/// `noise_m`: standard deviation of a range.
bool is_mixed(const std::vector<ScanPoint>& points, std::size_t i, double largest_m, double noise_m);

}  // namespace wainscot
