#pragma once

// A large office building and a long way through it: blocks of rooms with corridors all round them, so that the way
// closes many loops of different lengths.

#include <vector>

#include "apps/simulator/plan.hpp"
#include "apps/simulator/random.hpp"

namespace wainscot::simulator {

struct OfficeBuilding {
  std::vector<Wall> walls;
  std::vector<Furniture> furniture;
  std::vector<Waypoint> route;  ///< along corridors and into rooms, back to its start
  double way_m = 0.0;           ///< length of the route
};

/// Three or four blocks side by side, two or three deep, each 12 to 18 m by 9 to 12 m, with rooms of 3 to 6 m back to
/// back. The route is `least_way_m` long or some tens of metres more. Made for robots of a radius up to 0.28 m.
OfficeBuilding office_building(double least_way_m, Random& random);

}  // namespace wainscot::simulator
