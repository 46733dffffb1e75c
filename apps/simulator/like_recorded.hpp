#pragma once

// Robots and logs as in recordings of real robots, which differ from hobby robots in a home: scans far apart, ranges in
// coarse steps, half a circle only, odometry with heavy tails and slips, and a robot.yaml that knows nothing of it.

#include <cstdint>

#include "apps/simulator/plan.hpp"
#include "apps/simulator/random.hpp"

namespace wainscot::simulator {

/// Which lidar a plan that is made like a recorded one has.
enum class RecordedLidar {
  drawn,  ///< 180 degrees at 1 or 0.5 degrees, ranges to 50 m or 80 m, or a full circle of 3,600 beams
  kept,   ///< the plan's own beams, field and range, since the place is hard by them
};

/// The plan with robot and defects drawn from the seed: house, route and the errors of the wheels' constants stay. Its
/// robot logs odometry.csv and a scan only every so often. robot.yaml states what a data sheet says: the new knobs are
/// not told.
///
/// Figures that are said to be "as in recordings" were measured in those of six robots, five buildings and eight drives
/// of 78 to 820 m; the others are wider on purpose, for robots that were not recorded.
Plan like_recorded(Plan plan, std::uint64_t seed, RecordedLidar lidar = RecordedLidar::drawn);

/// robot.yaml states the noise of ranges, and that of odometry, up to three times too large or too small (the factors'
/// logarithms are uniform).
void misstate_noise(Defects& defects, std::uint64_t seed);

/// Somebody, or a round cart, who moves to and fro along a part of the plan's route all the time.
Person mover(const Plan& plan, bool cart, Random& random);

}  // namespace wainscot::simulator
