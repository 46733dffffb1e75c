#pragma once

// Hard places that recordings of real robots taught: large halls and buildings, and single properties of such
// recordings in an ordinary home.

#include <cstdint>

#include "apps/simulator/plan.hpp"

namespace wainscot::simulator {

/// A hall of 40 m by 24 to 28 m with stands of all sizes, people and a cart, driven up and down; logged as recorded.
Plan hall_40m(std::uint64_t seed);

/// A corridor of 100 m with rooms on both sides, there and back, into some of them; logged as recorded.
Plan corridor_100m(std::uint64_t seed);

/// Two kilometres through an office building, logged as recorded.
Plan building_2km(std::uint64_t seed);

/// A random home, logged as recorded.
Plan like_recorded_flat(std::uint64_t seed);

/// A random home; the rows of wheels or odometry are held back now and then and come late, all at once.
Plan buffered_odometry(std::uint64_t seed);

/// A random home; robot.yaml states the noise of ranges, and of odometry, three times too large or too small.
Plan misstated_noise(std::uint64_t seed);

/// A corridor of 25 to 35 m with rooms, there and back twice, with a lidar that sees 180 degrees ahead and 8 m.
Plan half_lidar_both_ways(std::uint64_t seed);

/// A random home; a cable of the wheels' counters is off, so that they say 0 all the time.
Plan no_odometry(std::uint64_t seed);

/// A random home; ranges come in steps of 5 cm, and robot.yaml does not know.
Plan steps_of_5cm(std::uint64_t seed);

/// A random home in which two people and two carts move all the time.
Plan people_and_carts(std::uint64_t seed);

/// A random home; slip grows with the squares of the speeds, and ranges to a wall are too long by the angle it is met
/// at.
Plan other_laws(std::uint64_t seed);

}  // namespace wainscot::simulator
