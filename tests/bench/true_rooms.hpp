#pragma once

// The rooms and doors of a simulated plan, from its walls and furniture alone.

#include <vector>

#include "apps/simulator/plan.hpp"
#include "apps/simulator/surfaces.hpp"

namespace wainscot::bench {

struct TrueRoom {
  std::vector<simulator::Point> cells;  ///< the middles of its cells, each of `TrueRooms::cell_m2`
  double area_m2 = 0.0;     ///< of floor that is free at the lidar's height, to the middle of each open door
  simulator::Point widest;  ///< far from walls and furniture
};

/// An opening that one can go through.
struct TrueDoor {
  std::size_t room_1 = 0;  ///< the lower first
  std::size_t room_2 = 0;
  simulator::Point middle;
  double width_m = 0.0;
};

struct TrueRooms {
  double cell_m2 = 0.0;
  std::vector<TrueRoom> rooms;
  std::vector<TrueDoor> doors;
};

/// Rooms of less than 1 m2, niches behind furniture, are left out, with their doors. Legs of tables count as floor.
/// The garden is no room: plans lie between outer walls.
TrueRooms true_rooms(const simulator::Plan& plan, const simulator::Surfaces& surfaces);

}  // namespace wainscot::bench
