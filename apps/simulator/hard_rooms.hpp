#pragma once

// Rooms that are hard by what stands in them, or by how they lie to one another.

#include <cstdint>

#include "apps/simulator/plan.hpp"

namespace wainscot::simulator {

/// Two flats that mirror each other beside one stairwell, furniture included; both are driven through.
Plan mirrored_flats(std::uint64_t seed);

/// A dining hall: tables with chairs all round, hundreds of legs of 2 to 3 cm, hardly a wall near by.
Plan thin_legs(std::uint64_t seed);

/// Rooms behind glass fronts along a corridor with mirrors on its other wall, and mirrors in the rooms.
Plan glass_and_mirrors(std::uint64_t seed);

/// A chain of furnished rooms, in at one end and out at the other: no place is seen twice.
Plan no_loop(std::uint64_t seed);

}  // namespace wainscot::simulator
