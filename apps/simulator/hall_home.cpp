#include "apps/simulator/hall_home.hpp"

#include <algorithm>
#include <cstddef>

namespace wainscot::simulator {

namespace {

constexpr double kOuter_m = 0.24;
constexpr double kInner_m = 0.12;

// One side's rooms with their partitions; returns the wall to the hall.
Wall add_side(const HallHome& home, bool north, Layout& layout) {
  const HallSide& side = north ? home.north : home.south;
  const double sign = north ? 1.0 : -1.0;
  const double front = sign * home.width_m / 2.0;
  const double back = front + sign * side.depth_m;
  const double east = home.west_m + home.length_m;
  Wall wall = {{home.west_m, front}, {east, front}, side.rooms.empty() ? kOuter_m : kInner_m, {}};
  double from = home.west_m;
  for (std::size_t i = 0; i < side.rooms.size(); ++i) {
    const HallRoom& room = side.rooms[i];
    const bool last = i + 1 == side.rooms.size();
    const double to = last ? east : from + room.width_m;
    const double west_wall = i == 0 ? kOuter_m : kInner_m;
    const double east_wall = last ? kOuter_m : kInner_m;
    const Opening door = {from + room.door_at_m - home.west_m, room.door_m, std::nullopt, false, false};
    wall.openings.push_back(door);
    if (room.pane_m > 0.0) {
      wall.openings.push_back({from + room.pane_at_m - home.west_m, room.pane_m, std::nullopt, true, false});
    }
    const double low = std::min(front, back);
    const double high = std::max(front, back);
    layout.doorways.push_back(
        {0, static_cast<int>(layout.rooms.size()), {from + room.door_at_m, front}, {1.0, 0.0}, room.door_m, kInner_m});
    layout.rooms.push_back({{{from, low}, {to, low}, {to, high}, {from, high}},
                            {north ? kInner_m : kOuter_m, east_wall, north ? kOuter_m : kInner_m, west_wall},
                            room.kind});
    if (!last) layout.walls.push_back({{to, front}, {to, back}, kInner_m, {}});
    from = to;
  }
  if (!side.rooms.empty()) layout.walls.push_back({{home.west_m, back}, {east, back}, kOuter_m, {}});
  return wall;
}

}  // namespace

Layout hall_layout(const HallHome& home) {
  Layout layout;
  const double east = home.west_m + home.length_m;
  const double half = home.width_m / 2.0;
  const auto wall_m = [](const HallSide& side) { return side.rooms.empty() ? kOuter_m : kInner_m; };
  layout.rooms.push_back({{{home.west_m, -half}, {east, -half}, {east, half}, {home.west_m, half}},
                          {wall_m(home.south), kOuter_m, wall_m(home.north), kOuter_m},
                          RoomKind::hall});
  const Wall north = add_side(home, true, layout);
  const Wall south = add_side(home, false, layout);
  const double low = -half - (home.south.rooms.empty() ? 0.0 : home.south.depth_m) - kOuter_m / 2.0;
  const double high = half + (home.north.rooms.empty() ? 0.0 : home.north.depth_m) + kOuter_m / 2.0;
  layout.walls.push_back({{home.west_m, low}, {home.west_m, high}, kOuter_m, {}});
  layout.walls.push_back({{east, low}, {east, high}, kOuter_m, {}});
  layout.walls.push_back(north);
  layout.walls.push_back(south);
  return layout;
}

Layout mirrored(const Layout& layout) {
  const auto flip = [](Point p) { return Point{-p.x_m, p.y_m}; };
  Layout other = layout;
  for (Room& room : other.rooms) {
    // Corners stay counter-clockwise: backwards, and the walls between them with them.
    std::reverse(room.outline.begin(), room.outline.end());
    for (Point& p : room.outline) p = flip(p);
    std::reverse(room.wall_m.begin(), room.wall_m.end() - 1);
  }
  for (Wall& wall : other.walls) {
    wall.from = flip(wall.from);
    wall.to = flip(wall.to);
    for (Opening& opening : wall.openings) {
      if (opening.leaf) opening.leaf->swings_left = !opening.leaf->swings_left;
    }
    for (Mirror& mirror : wall.mirrors) mirror.on_left = !mirror.on_left;
  }
  for (Doorway& door : other.doorways) {
    door.centre = flip(door.centre);
    door.along = flip(door.along);
  }
  return other;
}

std::vector<Furniture> mirrored(std::vector<Furniture> furniture) {
  for (Furniture& item : furniture) {
    item.centre.x_m = -item.centre.x_m;
    item.heading_deg = -item.heading_deg;
  }
  return furniture;
}

}  // namespace wainscot::simulator
