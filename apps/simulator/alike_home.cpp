#include "apps/simulator/alike_home.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "apps/simulator/furnish.hpp"

namespace wainscot::simulator {

namespace {

/// Everything that is the same for all rooms.
struct Pattern {
  int rooms;  ///< on each side of the hall
  double room_m;
  double depth_m;  ///< of the whole home
  double hall_from_m;
  double hall_to_m;
  double outer_m;
  double hall_wall_m;
  double partition_m;
  double door_at_m;  ///< from the room's west wall
  double door_m;
  bool hinge_west;
};

Pattern draw_pattern(const LayoutOptions& options, Random& random) {
  Pattern p;
  const double hall = random.uniform(1.3, 1.8);
  const double depth = hall + 2.0 * random.uniform(3.0, 4.4);
  const double width = options.area_m2 / depth;
  p.rooms = std::max(2, static_cast<int>(std::lround(width / random.uniform(2.9, 3.8))));
  p.room_m = std::round(width / p.rooms * 100.0) / 100.0;
  p.depth_m = std::round(depth * 100.0) / 100.0;
  p.hall_from_m = (p.depth_m - hall) / 2.0;
  p.hall_to_m = (p.depth_m + hall) / 2.0;
  p.outer_m = random.uniform(0.22, 0.30);
  p.hall_wall_m = random.uniform(0.10, 0.20);
  p.partition_m = random.uniform(0.08, 0.15);
  p.door_m = options.least_door_m;
  const double margin = 0.27 + p.door_m / 2.0;
  p.hinge_west = random.chance(0.5);
  p.door_at_m = p.hinge_west ? margin : p.room_m - margin;
  return p;
}

Room room(const Pattern& p, int column, bool top) {
  const double west = column * p.room_m;
  const double low = top ? p.hall_to_m : 0.0;
  const double high = top ? p.depth_m : p.hall_from_m;
  const double west_wall = column == 0 ? p.outer_m : p.partition_m;
  const double east_wall = column + 1 == p.rooms ? p.outer_m : p.partition_m;
  const double low_wall = top ? p.hall_wall_m : p.outer_m;
  const double high_wall = top ? p.outer_m : p.hall_wall_m;
  return {{{west, low}, {west + p.room_m, low}, {west + p.room_m, high}, {west, high}},
          {low_wall, east_wall, high_wall, west_wall},
          RoomKind::bedroom};
}

void add_outer_walls(const Pattern& p, bool panes, std::vector<Wall>& walls) {
  const double width = p.rooms * p.room_m;
  const double over = p.outer_m / 2.0;
  walls.push_back({{0.0, -over}, {0.0, p.depth_m + over}, p.outer_m, {}});
  walls.push_back({{width, -over}, {width, p.depth_m + over}, p.outer_m, {}});
  for (const double y : {0.0, p.depth_m}) {
    Wall wall = {{0.0, y}, {width, y}, p.outer_m, {}};
    for (int k = 0; panes && k < p.rooms; ++k)
      wall.openings.push_back({(k + 0.5) * p.room_m, 1.0, std::nullopt, true, false});
    walls.push_back(wall);
  }
}

void add_hall_walls(const Pattern& p, bool leaves, Layout& layout) {
  for (const bool top : {true, false}) {
    const double y = top ? p.hall_to_m : p.hall_from_m;
    Wall wall = {{0.0, y}, {p.rooms * p.room_m, y}, p.hall_wall_m, {}};
    for (int k = 0; k < p.rooms; ++k) {
      Opening opening = {k * p.room_m + p.door_at_m, p.door_m, std::nullopt, false, false};
      if (leaves) opening.leaf = DoorLeaf{p.hinge_west, top, 90.0};
      wall.openings.push_back(opening);
      const Point centre = {opening.at_m, y};
      layout.doorways.push_back({0, 1 + k + (top ? 0 : p.rooms), centre, {1.0, 0.0}, p.door_m, p.hall_wall_m});
    }
    layout.walls.push_back(wall);
  }
}

// Between the rooms of a row; a single door through one of them may make a ring.
void add_partitions(const Pattern& p, Layout& layout, Random& random) {
  const int ring = random.chance(0.5) ? random.below(2 * (p.rooms - 1)) : -1;
  for (int i = 0; i < 2 * (p.rooms - 1); ++i) {
    const bool top = i < p.rooms - 1;
    const int column = i % (p.rooms - 1) + 1;
    const double low = top ? p.hall_to_m : 0.0;
    const double high = top ? p.depth_m : p.hall_from_m;
    Wall wall = {{column * p.room_m, low}, {column * p.room_m, high}, p.partition_m, {}};
    if (i == ring) {
      const double at = (high - low) / 2.0;
      wall.openings.push_back({at, p.door_m, std::nullopt, false, false});
      const int first = column + (top ? 0 : p.rooms);
      layout.doorways.push_back({first, first + 1, {column * p.room_m, low + at}, {0.0, 1.0}, p.door_m, p.partition_m});
      layout.rings = 1;
    }
    layout.walls.push_back(wall);
  }
}

}  // namespace

AlikeHome alike_home(const LayoutOptions& options, double robot_radius_m, double fullness, Random& random) {
  const Pattern p = draw_pattern(options, random);
  AlikeHome home;
  Layout& layout = home.layout;
  const double width = p.rooms * p.room_m;
  layout.rooms.push_back({{{0.0, p.hall_from_m}, {width, p.hall_from_m}, {width, p.hall_to_m}, {0.0, p.hall_to_m}},
                          {p.hall_wall_m, p.outer_m, p.hall_wall_m, p.outer_m},
                          RoomKind::hall});
  for (const bool top : {true, false}) {
    for (int k = 0; k < p.rooms; ++k) layout.rooms.push_back(room(p, k, top));
  }
  add_outer_walls(p, random.chance(0.3), layout.walls);
  add_hall_walls(p, random.chance(0.5), layout);
  add_partitions(p, layout, random);

  // One room is furnished, with room for the thicker outer wall on both sides; all others are its copies.
  Layout model;
  model.rooms = {layout.rooms[1]};
  model.rooms[0].wall_m[1] = model.rooms[0].wall_m[3] = p.outer_m;
  model.doorways = {layout.doorways[0]};
  model.doorways[0].room_b = 0;
  for (const Furniture& item : furnish(model, robot_radius_m, fullness, random)) {
    for (int k = 0; k < p.rooms; ++k) {
      Furniture copy = item;
      copy.centre.x_m += k * p.room_m;
      home.furniture.push_back(copy);
      copy.centre.y_m = p.depth_m - copy.centre.y_m;
      copy.heading_deg = -copy.heading_deg;
      home.furniture.push_back(copy);
    }
  }
  return home;
}

}  // namespace wainscot::simulator
