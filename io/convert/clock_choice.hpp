#pragma once

// What is added to the times of logs with clocks of their own.

#include "io/convert/guess_items.hpp"
#include "io/convert/motion_choice.hpp"

namespace wainscot {

/// Seconds, to bring the times to the clock of wheels or odometry, or of the lidar where there is neither.
struct ChosenClocks {
  double scans_offset_s = 0.0;
  double gyro_offset_s = 0.0;
};

/// Tells of each that is not 0.
ChosenClocks choose_clocks(const ChosenMotion& motion, GuessItems& items);

}  // namespace wainscot
