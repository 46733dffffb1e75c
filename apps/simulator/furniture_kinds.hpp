#pragma once

// What stands in the rooms of a random home.

#include <vector>

#include "apps/simulator/layout.hpp"

namespace wainscot::simulator {

enum class FurniturePlace { wall, middle };

/// A kind of thing, its sizes as ranges.
struct FurnitureKind {
  const char* name;
  FurnitureShape shape;
  FurniturePlace place;
  double length_from_m;  ///< along the wall
  double length_to_m;
  double width_from_m;
  double width_to_m;
  double chance;   ///< that it stands there at all, in a crowded home
  int chairs = 0;  ///< around it, at most
};

/// In the order in which they find their places, those that a room of this kind needs first.
const std::vector<FurnitureKind>& kinds_for(RoomKind room);

}  // namespace wainscot::simulator
