#pragma once

// The same robot in the same house on another day: it starts elsewhere and takes another way, some furniture was moved,
// and what differs from day to day (the delay of the lidar's stamps, its motor, its clock, the gyro's bias) is drawn
// anew.

#include <cstdint>

#include "apps/simulator/plan.hpp"

namespace wainscot::simulator {

struct DayOptions {
  int least_moved = 2;  ///< pieces of furniture that were moved, where so many can be,
  int most_moved = 4;
  double least_share = 0.6;  ///< of the first day's way that is driven
  double most_share = 1.0;
};

/// `first`: the plan of day 1, which `day` 1 gives back. To be simulated with the same seed, which also decides the
/// robot's constants. People walk as before; slips and lifts are left out. Throws InputError
/// where the route's places leave no other way.
Plan another_day(const Plan& first, std::uint64_t seed, int day, const DayOptions& options = {});

}  // namespace wainscot::simulator
