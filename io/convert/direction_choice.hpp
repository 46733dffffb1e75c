#pragma once

// Which way round lidar, wheels, odometry and gyro of a guess are.

#include <vector>

#include "io/convert/direction_guess.hpp"
#include "io/convert/guess_items.hpp"
#include "io/convert/log_sample.hpp"
#include "io/convert/motion_choice.hpp"
#include "io/convert/range_choice.hpp"

namespace wainscot {

struct ChosenDirection {
  DirectionEvidence evidence;  ///< its `fit` only where the robot turned and drove enough to tell
  std::vector<Direction> all;  ///< the likeliest first, without those that an answer ruled out

  const Direction& likeliest() const { return all.front(); }
};

/// Weighs what the columns and their names say, asks where two ways fit, and tells of the result.
ChosenDirection choose_direction(const LogSample& sample, const ChosenRanges& ranges, const ChosenMotion& motion,
                                 GuessItems& items);

}  // namespace wainscot
