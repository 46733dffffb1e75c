#pragma once

// Homes in which not everything stands still while the robot drives.

#include <cstdint>

#include "apps/simulator/plan.hpp"

namespace wainscot::simulator {

/// One or two people walk behind the robot all the time, so that part of the view moves along.
Plan followed_robot(std::uint64_t seed);

/// Doors are shut and opened again between two passes of the robot, never while it is near.
Plan closing_doors(std::uint64_t seed);

/// Three to eight pieces of furniture are moved by 0.3 to 1.5 m while the robot is elsewhere.
Plan moved_furniture(std::uint64_t seed);

}  // namespace wainscot::simulator
