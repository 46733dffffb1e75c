#pragma once

// Whether anything is wrong at all, by a few stretches of a drive: so cheap that it can stand before every mapping. A
// check (graph/check/log_check) then says what it is.

#include "core/drive.hpp"

namespace wainscot {

/// Whether most scans hold what a check needs, between the nearest and the largest range.
bool holds_returns(const Drive& drive);

/// Whether a few stretches of the drive are as robot.yaml has them: returns in range, wheels and lidar that tell of one
/// motion at one time, signs, scales and mounting. Also where they tell too little. `threads`: 0, as many as the
/// machine has; the result does not depend on it.
bool looks_sound(const Drive& drive, int threads);

}  // namespace wainscot
