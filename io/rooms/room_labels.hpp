#pragma once

// Which room each cell of the floor is in.

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "io/rooms/open_floor.hpp"
#include "io/rooms/room_list.hpp"

namespace wainscot {

/// The doors of houses are as wide as this at most, clear of the frame (common practice, no source; doors for
/// wheelchairs have 0.9 m, double leaves more). A wider gap parts a named room from a named one only.
inline constexpr double widest_door_m = 1.3;

struct RoomLabels {
  std::vector<std::int32_t> of_cell;  ///< index into `names`; -1: no floor
  std::vector<std::string> names;     ///< the list's rooms in its order, then floor without a name: empty names
  std::size_t named = 0;

  bool is_named(std::int32_t room) const { return room >= 0 && static_cast<std::size_t>(room) < named; }
};

/// A room of corners is the floor within them. One of points is the floor around the widest place near each point,
/// up to where the floor of other rooms is wider: two named rooms part at the narrowest place between their points, a
/// named one and floor without a name at a door. Throws `InputError` with the list's file and line for a point that is
/// not on the floor, two rooms in one, a room in two parts and corners around no floor.
RoomLabels room_labels(const OpenFloor& floor, const RoomList& list);

}  // namespace wainscot
