#pragma once

// The ordinary home that something happens in, for drives that are hard by what happens.

#include <cstddef>
#include <cstdint>
#include <string_view>
#include <vector>

#include "apps/simulator/motion.hpp"
#include "apps/simulator/random_house.hpp"

namespace wainscot::simulator {

/// A random home without people, its robot calibrated; which one, the seed and the place's name decide.
Plan hard_home(std::uint64_t seed, std::string_view place, HouseOptions options = {});

/// An opening that one can go through.
struct Passage {
  std::size_t wall = 0;  ///< in Plan::walls
  std::size_t opening = 0;
  Point middle;
};
std::vector<Passage> passages(const Plan& plan);

/// A stretch of time in which the robot is near a place.
struct Visit {
  double from_s = 0.0;
  double to_s = 0.0;
};
/// In rising order.
std::vector<Visit> visits(const Motion& motion, Point place, double radius_m);

}  // namespace wainscot::simulator
