#pragma once

// Places with little to see: a lidar alone cannot tell where along a bare corridor, or in the midst of a hall, it is.

#include <cstdint>

#include "apps/simulator/plan.hpp"

namespace wainscot::simulator {

/// A corridor of 30 to 60 m without doors between two small furnished lobbies, there and back; lidar range 6 m.
Plan bare_corridor(std::uint64_t seed);

/// A hall of about 30 m by 20 m with equal pillars in even rows, driven up and down between them. The same seed gives
/// the same hall and robot for any range of the lidar.
Plan pillar_hall(std::uint64_t seed, double max_range_m);

/// A round room of 3 to 5 m radius with a door to a small square one.
Plan round_room(std::uint64_t seed);

}  // namespace wainscot::simulator
