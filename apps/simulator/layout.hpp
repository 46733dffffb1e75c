#pragma once

// Rooms, walls and doors of a random home: a footprint is cut by straight lines into convex rooms on both sides of a
// hall, then doors join them, with rings in most homes.

#include <vector>

#include "apps/simulator/plan.hpp"
#include "apps/simulator/random.hpp"

namespace wainscot::simulator {

enum class RoomKind { hall, living, kitchen, bath, bedroom, office, store };

struct Room {
  Polygon outline;             ///< along the walls' centre lines, counter-clockwise, convex
  std::vector<double> wall_m;  ///< thickness of the wall on the edge from corner i to i + 1
  RoomKind kind = RoomKind::bedroom;
};

/// Where one can go from one room into another.
struct Doorway {
  int room_a = 0;
  int room_b = 0;
  Point centre;
  Point along;  ///< unit vector along the wall
  double width_m = 0.8;
  double thickness_m = 0.1;
};

struct Layout {
  std::vector<Room> rooms;
  std::vector<Wall> walls;
  std::vector<Doorway> doorways;
  int rings = 0;  ///< independent closed ways through the doorways
};

struct LayoutOptions {
  double area_m2 = 90.0;      ///< of the whole footprint, walls included; 60 .. 200
  double least_door_m = 0.7;  ///< no doorway is narrower
};

Layout random_layout(const LayoutOptions& options, Random& random);

}  // namespace wainscot::simulator
