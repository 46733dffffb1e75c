#pragma once

// Fewer points of a scan, where not all are needed.

#include <cstddef>
#include <vector>

#include "scanmatch/motion_correction.hpp"

namespace wainscot {

/// Returns evenly along the walls, 8 cm apart, rather than by angle: what is near has no more say than what is far.
std::vector<ScanPoint> evenly(const std::vector<ScanPoint>& points);

/// Every so many of the points that have a normal, `most` at most.
std::vector<ScanPoint> thinned(const std::vector<ScanPoint>& points, std::size_t most);

}  // namespace wainscot
