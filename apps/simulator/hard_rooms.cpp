#include "apps/simulator/hard_rooms.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <vector>

#include <fmt/format.h>

#include "apps/simulator/furnish.hpp"
#include "apps/simulator/hall_home.hpp"
#include "apps/simulator/random.hpp"
#include "apps/simulator/random_robot.hpp"
#include "apps/simulator/room_tour.hpp"
#include "apps/simulator/route_planner.hpp"

namespace wainscot::simulator {

namespace {

double door_for(const RobotSpec& robot) { return rounded(std::max(0.85, 2.0 * robot.radius_m + 0.35), 0.01); }

RoomKind some_kind(Random& random) {
  const std::vector<RoomKind> kinds = {RoomKind::living, RoomKind::kitchen, RoomKind::bath, RoomKind::bedroom,
                                       RoomKind::office};
  return kinds[static_cast<std::size_t>(random.below(static_cast<int>(kinds.size())))];
}

// Rooms of 2.6 to 4.5 m along `length_m`, doors anywhere.
std::vector<HallRoom> some_rooms(double length_m, double door_m, Random& random) {
  std::vector<HallRoom> rooms;
  double left = length_m;
  while (left > 0.0) {
    HallRoom room;
    room.width_m = rounded(random.uniform(2.6, 4.5), 0.01);
    if (left - room.width_m < 2.6) room.width_m = left;
    room.door_m = door_m;
    const double margin = 0.3 + door_m / 2.0;
    room.door_at_m = rounded(random.uniform(margin, room.width_m - margin), 0.01);
    room.kind = some_kind(random);
    rooms.push_back(room);
    left -= room.width_m;
  }
  return rooms;
}

void take_over(const Layout& layout, int first_room, Layout& into) {
  into.walls.insert(into.walls.end(), layout.walls.begin(), layout.walls.end());
  into.rooms.insert(into.rooms.end(), layout.rooms.begin(), layout.rooms.end());
  for (Doorway door : layout.doorways) {
    door.room_a += first_room;
    door.room_b += first_room;
    into.doorways.push_back(door);
  }
}

// Once more with other draws where the robot does not get everywhere.
template <typename Make>
Plan first_that_works(const char* name, std::uint64_t seed, const Make& make) {
  for (int attempt = 0;; ++attempt) {
    Random random(seed, fmt::format("{} {}", name, attempt));
    Plan plan = plan_without_house(name, random);
    if (make(plan, random)) return plan;
  }
}

bool make_tour(const Layout& layout, double least_s, double most_s, Plan& plan, Random& random) {
  RoomTour tour(layout, plan, random);
  plan.route = tour.make(least_s, most_s);
  return tour.everywhere() && plan.route.size() >= 10;
}

}  // namespace

Plan mirrored_flats(std::uint64_t seed) {
  return first_that_works("mirrored flats", seed, [](Plan& plan, Random& random) {
    const double door = door_for(plan.robot);
    const double half_stair = rounded(random.uniform(0.9, 1.2), 0.01);
    HallHome flat;
    flat.west_m = half_stair;
    flat.length_m = rounded(random.uniform(8.0, 12.0), 0.01);
    flat.width_m = rounded(random.uniform(1.3, 1.7), 0.01);
    flat.north = {rounded(random.uniform(3.0, 4.2), 0.01), some_rooms(flat.length_m, door, random)};
    flat.south = {rounded(random.uniform(3.0, 4.2), 0.01), some_rooms(flat.length_m, door, random)};
    Layout east = hall_layout(flat);
    // The flat's front door: in the west wall, the fourth from the end.
    Wall& front = east.walls[east.walls.size() - 4];
    front.openings.push_back({-front.from.y_m, door, std::nullopt, false, true});
    const int stair = static_cast<int>(2 * east.rooms.size());
    const Doorway entrance = {0, stair, {half_stair, 0.0}, {0.0, 1.0}, door, front.thickness_m};
    Layout furnished = east;
    furnished.doorways.push_back(entrance);
    const double fullness = random.uniform(0.4, 0.9);
    plan.furniture = furnish(furnished, plan.robot.radius_m, fullness, random);
    const std::vector<Furniture> copies = mirrored(plan.furniture);
    plan.furniture.insert(plan.furniture.end(), copies.begin(), copies.end());

    Layout both;
    take_over(east, 0, both);
    take_over(mirrored(east), static_cast<int>(east.rooms.size()), both);
    const double end = rounded(random.uniform(1.6, 2.6), 0.01);
    for (const double y : {end, -end}) both.walls.push_back({{-half_stair, y}, {half_stair, y}, 0.2, {}});
    both.rooms.push_back({{{-half_stair, -end}, {half_stair, -end}, {half_stair, end}, {-half_stair, end}},
                          {0.2, front.thickness_m, 0.2, front.thickness_m},
                          RoomKind::hall});
    both.doorways.push_back(entrance);
    both.doorways.push_back(
        {static_cast<int>(east.rooms.size()), stair, {-half_stair, 0.0}, {0.0, 1.0}, door, front.thickness_m});
    plan.walls = both.walls;
    return make_tour(both, 250.0, 400.0, plan, random);
  });
}

Plan thin_legs(std::uint64_t seed) {
  return first_that_works("thin legs", seed, [](Plan& plan, Random& random) {
    const double width = rounded(random.uniform(9.0, 13.0), 0.01);
    const double depth = rounded(random.uniform(7.0, 10.0), 0.01);
    constexpr double t = 0.2;
    plan.walls = {{{-t, -t / 2.0}, {width + t, -t / 2.0}, t, {}},
                  {{width + t / 2.0, 0.0}, {width + t / 2.0, depth}, t, {}},
                  {{-t, depth + t / 2.0}, {width + t, depth + t / 2.0}, t, {}},
                  {{-t / 2.0, 0.0}, {-t / 2.0, depth}, t, {}}};
    const double leg = rounded(random.uniform(0.02, 0.03), 0.001);
    const double aisle = 2.0 * plan.robot.radius_m + 0.5;
    const double step_x = 1.4 + 1.1 + aisle;  // a table, its chairs, the way between
    const double step_y = 0.8 + 1.1 + aisle;
    for (double x = 0.9 + step_x / 2.0; x < width - step_x / 2.0 - 0.3; x += step_x) {
      for (double y = 0.9 + step_y / 2.0; y < depth - step_y / 2.0 - 0.3; y += step_y) {
        const Point centre = rounded(Point{x + random.uniform(-0.08, 0.08), y + random.uniform(-0.08, 0.08)});
        plan.furniture.push_back({"table", FurnitureShape::legs, centre, 1.4, 0.8, 0.0, 0.05});
        for (const Point seat : {Point{-0.35, 0.6}, Point{0.35, 0.6}, Point{-0.35, -0.6}, Point{0.35, -0.6}}) {
          const Point moved = rounded(centre + seat + Point{random.uniform(-0.05, 0.05), random.uniform(-0.05, 0.05)});
          plan.furniture.push_back(
              {"chair", FurnitureShape::legs, moved, 0.42, 0.42, rounded(random.uniform(-20.0, 20.0), 1.0), leg});
        }
      }
    }
    // Places to go to, each seen by the tour as a room: the quarters of the hall.
    const Point middle = {width / 2.0, depth / 2.0};
    Layout quarters;
    for (const Point corner : {Point{0.0, 0.0}, Point{width, 0.0}, Point{width, depth}, Point{0.0, depth}}) {
      const Point low = {std::min(corner.x_m, middle.x_m), std::min(corner.y_m, middle.y_m)};
      const Point high = {std::max(corner.x_m, middle.x_m), std::max(corner.y_m, middle.y_m)};
      quarters.rooms.push_back({{low, {high.x_m, low.y_m}, high, {low.x_m, high.y_m}}, {t, t, t, t}, RoomKind::hall});
    }
    return make_tour(quarters, 200.0, 350.0, plan, random);
  });
}

Plan glass_and_mirrors(std::uint64_t seed) {
  return first_that_works("glass and mirrors", seed, [](Plan& plan, Random& random) {
    const double door = door_for(plan.robot);
    HallHome home;
    home.width_m = rounded(random.uniform(1.8, 2.6), 0.01);
    home.north.depth_m = rounded(random.uniform(3.2, 4.5), 0.01);
    const int count = 4 + random.below(2);
    home.length_m = 0.0;
    for (int i = 0; i < count; ++i) {
      HallRoom room;
      room.width_m = rounded(random.uniform(3.2, 4.4), 0.01);
      room.door_m = door;
      room.door_at_m = 0.35 + door / 2.0;
      room.pane_m = rounded(room.width_m - door - 1.0, 0.01);
      room.pane_at_m = 0.35 + door + 0.2 + room.pane_m / 2.0;
      room.kind = some_kind(random);
      home.north.rooms.push_back(room);
      home.length_m += room.width_m;
    }
    const Layout layout = hall_layout(home);
    plan.walls = layout.walls;
    plan.furniture = furnish(layout, plan.robot.radius_m, random.uniform(0.2, 0.6), random);
    // Mirrors along the corridor's south wall, the last one of the layout, on its side to the corridor.
    for (double x = random.uniform(1.0, 2.5); x + 1.2 < home.length_m; x += random.uniform(2.5, 5.0)) {
      plan.walls.back().mirrors.push_back({rounded(x, 0.01), rounded(random.uniform(0.8, 2.0), 0.01), true});
    }
    // And on partitions between rooms, which run from the corridor to the back.
    for (Wall& wall : plan.walls) {
      const bool partition = wall.from.x_m == wall.to.x_m && wall.from.y_m == home.width_m / 2.0;
      if (partition && random.chance(0.6)) wall.mirrors.push_back({2.0, 0.9, random.chance(0.5)});
    }
    return make_tour(layout, 220.0, 350.0, plan, random);
  });
}

Plan no_loop(std::uint64_t seed) {
  return first_that_works("no loop", seed, [](Plan& plan, Random& random) {
    constexpr double kWall_m = 0.14;
    const double door = door_for(plan.robot);
    const int rows = 3 + random.below(2);
    const double width = rounded(random.uniform(13.0, 18.0), 0.01);
    Layout layout;
    std::vector<Point> doors;
    double low = 0.0;
    plan.walls.push_back({{-kWall_m / 2.0, 0.0}, {width + kWall_m / 2.0, 0.0}, kWall_m, {}});
    for (int row = 0; row < rows; ++row) {
      const double high = low + rounded(random.uniform(3.0, 4.5), 0.01);
      std::vector<double> x = {0.0};
      while (width - x.back() > 5.2) x.push_back(rounded(x.back() + random.uniform(2.6, 4.4), 0.01));
      x.push_back(width);
      const bool eastwards = row % 2 == 0;
      const auto count = static_cast<int>(x.size()) - 1;
      for (int k = 0; k < count; ++k) {
        const auto i = static_cast<std::size_t>(eastwards ? k : count - 1 - k);
        layout.rooms.push_back({{{x[i], low}, {x[i + 1], low}, {x[i + 1], high}, {x[i], high}},
                                {kWall_m, kWall_m, kWall_m, kWall_m},
                                some_kind(random)});
        if (k + 1 == count) continue;
        const double wall_x = eastwards ? x[i + 1] : x[i];
        const double at = rounded(random.uniform(0.35 + door / 2.0, high - low - 0.35 - door / 2.0), 0.01);
        plan.walls.push_back({{wall_x, low}, {wall_x, high}, kWall_m, {{at, door, std::nullopt, false, false}}});
        const int room = static_cast<int>(layout.rooms.size()) - 1;
        layout.doorways.push_back({room, room + 1, {wall_x, low + at}, {0.0, 1.0}, door, kWall_m});
      }
      Wall above = {{-kWall_m / 2.0, high}, {width + kWall_m / 2.0, high}, kWall_m, {}};
      if (row + 1 < rows) {
        const double middle = eastwards ? width - 0.5 - door : 0.5 + door;
        above.openings.push_back({middle + kWall_m / 2.0, door, std::nullopt, false, false});
        const int room = static_cast<int>(layout.rooms.size()) - 1;
        layout.doorways.push_back({room, room + 1, {middle, high}, {1.0, 0.0}, door, kWall_m});
      }
      plan.walls.push_back(above);
      low = high;
    }
    for (const double x : {0.0, width}) plan.walls.push_back({{x, 0.0}, {x, low}, kWall_m, {}});
    plan.furniture = furnish(layout, plan.robot.radius_m, random.uniform(0.3, 0.8), random);
    // From the first room's middle through all doors to the last room's middle.
    const FloorGrid grid(plan, plan.robot.radius_m + 0.08);
    std::vector<Point> goals = {centroid(layout.rooms.front().outline)};
    for (const Doorway& doorway : layout.doorways) goals.push_back(doorway.centre);
    goals.push_back(centroid(layout.rooms.back().outline));
    plan.route = {{rounded(goals[0])}};
    for (std::size_t i = 0; i + 1 < goals.size(); ++i) {
      const std::optional<std::vector<Point>> way = grid.way(goals[i], goals[i + 1], nullptr);
      if (!way) return false;
      for (std::size_t k = 1; k < way->size(); ++k) plan.route.push_back({rounded((*way)[k])});
    }
    return true;
  });
}

}  // namespace wainscot::simulator
