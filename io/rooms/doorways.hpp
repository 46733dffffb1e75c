#pragma once

// The gaps between rooms: doors, and wider openings.

#include <cstdint>
#include <optional>
#include <vector>

#include <Eigen/Core>

#include "io/rooms/door_leaf.hpp"
#include "io/rooms/open_floor.hpp"
#include "io/rooms/room_labels.hpp"

namespace wainscot {

/// The narrowest gap between two rooms where they meet.
struct Doorway {
  std::int32_t room_1 = 0;  ///< numbers of RoomLabels, the lower first
  std::int32_t room_2 = 0;
  Eigen::Vector2d from_m{0.0, 0.0};  ///< its ends: on jambs, or on a leaf's free end
  Eigen::Vector2d to_m{0.0, 0.0};
  double width_m = 0.0;
  double sd_m = 0.0;      ///< standard uncertainty
  bool by_faces = false;  ///< from the returns on the jambs' faces, else from cells
  std::optional<DoorLeaf> leaf;

  Eigen::Vector2d middle_m() const { return 0.5 * (from_m + to_m); }
};

/// Where a room with a name meets another one, or floor without a name; from the cells alone. Sorted by the rooms, then
/// by the lowest cell where they meet.
std::vector<Doorway> doorways(const OpenFloor& floor, const RoomLabels& labels);

}  // namespace wainscot
