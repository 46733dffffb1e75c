#pragma once

// Rooms on one or both sides of a straight hall along the x axis, made to measure.

#include <vector>

#include "apps/simulator/layout.hpp"

namespace wainscot::simulator {

struct HallRoom {
  double width_m = 3.5;    ///< along the hall
  double door_at_m = 0.7;  ///< middle of the door, from the room's west end
  double door_m = 0.9;
  double pane_m = 0.0;  ///< width of a pane in the wall to the hall; 0: none
  double pane_at_m = 0.0;
  RoomKind kind = RoomKind::bedroom;
};

struct HallSide {
  double depth_m = 3.5;
  std::vector<HallRoom> rooms;  ///< from west to east; the last one is stretched to the hall's end. None: a plain wall
};

struct HallHome {
  double west_m = 0.0;  ///< x of the hall's west end
  double length_m = 12.0;
  double width_m = 1.5;  ///< of the hall, around y = 0
  HallSide north;
  HallSide south;
};

/// Rooms and walls along their centre lines. The first room of the layout is the hall. The last four walls are the
/// hall's west and east ends, its north and its south wall.
Layout hall_layout(const HallHome& home);

/// The same seen in a mirror along the y axis: x becomes -x.
Layout mirrored(const Layout& layout);
std::vector<Furniture> mirrored(std::vector<Furniture> furniture);

}  // namespace wainscot::simulator
