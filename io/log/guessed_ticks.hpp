#pragma once

#include <vector>

#include "core/drive.hpp"

namespace wainscot {

/// How far a wheel may roll for a tick, by the counts alone: as if the robot went at the pace of hobby robots in half
/// of the steps in which it moved. Right to a factor of three, which is enough to tell a counter that jumped from a
/// robot that drove. `rows`: as logged; `counter_bits`: 16 or 32, where they wrap. 0.1 mm where nothing counts.
double guessed_m_per_tick(const std::vector<WheelCounts>& rows, int counter_bits);

}  // namespace wainscot
