#include "apps/simulator/recorded_places.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

#include "apps/simulator/hall_home.hpp"
#include "apps/simulator/hard_home.hpp"
#include "apps/simulator/like_recorded.hpp"
#include "apps/simulator/office_building.hpp"
#include "apps/simulator/random_robot.hpp"

namespace wainscot::simulator {

namespace {

/// A robot that is fast and slim enough for long ways past cupboards.
Plan plan_for_long_ways(const char* name, Random& random) {
  Plan plan = plan_without_house(name, random);
  plan.robot.radius_m = 0.25;
  plan.robot.track_width_m = rounded(random.uniform(0.34, 0.42), 0.001);
  plan.robot.speed_m_s = rounded(random.uniform(0.6, 0.9), 0.05);
  return plan;
}

void add_corridor(double length_m, Random& random, Plan& plan) {
  HallHome home;
  home.length_m = length_m;
  home.width_m = rounded(random.uniform(2.2, 2.8), 0.01);
  constexpr double kDoor_m = 0.95;
  for (HallSide* side : {&home.north, &home.south}) {
    side->depth_m = rounded(random.uniform(3.6, 5.0), 0.01);
    for (double left = length_m; left > 0.0;) {
      HallRoom room;
      room.width_m = rounded(random.uniform(2.8, 6.0), 0.01);
      if (left - room.width_m < 2.8) room.width_m = left;
      room.door_m = kDoor_m;
      room.door_at_m = rounded(random.uniform(0.8, room.width_m - 0.8), 0.01);
      side->rooms.push_back(room);
      left -= room.width_m;
    }
  }
  const Layout layout = hall_layout(home);
  plan.walls = layout.walls;
  std::vector<Point> open;
  for (std::size_t w = plan.walls.size() - 2; w < plan.walls.size(); ++w) {
    for (Opening& opening : plan.walls[w].openings) {
      if (random.chance(0.4)) opening.leaf = DoorLeaf{true, true, 0.0};  // shut
    }
  }
  for (const Passage& passage : passages(plan)) {
    const bool shut = plan.walls[passage.wall].openings[passage.opening].leaf.has_value();
    if (!shut) open.push_back(passage.middle);
  }
  // A desk at the back of each room, a cupboard now and then.
  for (std::size_t i = 1; i < layout.rooms.size(); ++i) {
    const Polygon& room = layout.rooms[i].outline;
    const double back = room[2].y_m > 0.0 ? room[2].y_m - 0.12 - 0.35 : room[0].y_m + 0.12 + 0.35;
    const double x = random.uniform(room[0].x_m + 1.1, room[1].x_m - 1.1);
    plan.furniture.push_back({"desk", FurnitureShape::box, rounded(Point{x, back}),
                              rounded(random.uniform(0.9, 1.6), 0.01), 0.7, 0.0, 0.04});
  }
  // There and back, into a room now and then.
  const double aside = home.width_m / 2.0 - 0.7;
  const auto lane = [&](double x) { return rounded(Point{x, random.uniform(-aside, aside)}); };
  std::sort(open.begin(), open.end(), [](Point a, Point b) { return a.x_m < b.x_m; });
  plan.route.push_back({lane(1.0)});
  for (const bool there : {true, false}) {
    for (const Point door : open) {
      if (door.x_m < 2.0 || door.x_m > length_m - 2.0 || !random.chance(there ? 0.2 : 0.15)) continue;
      const double into = door.y_m > 0.0 ? 1.0 : -1.0;
      const Point before = {door.x_m, lane(door.x_m).y_m};
      plan.route.push_back({before});
      plan.route.push_back({rounded(door + Point{0.0, into * random.uniform(1.0, 1.6)})});
      plan.route.push_back({before});
    }
    plan.route.push_back({lane(there ? length_m - 1.0 : 1.0)});
    std::reverse(open.begin(), open.end());
  }
}

double three_times_off(Random& random) { return random.chance(0.5) ? 3.0 : 0.33; }

}  // namespace

Plan hall_40m(std::uint64_t seed) {
  Random random(seed, "hall of 40 m");
  Plan plan = plan_for_long_ways("hall of 40 m", random);
  const Point size = {40.0, rounded(random.uniform(24.0, 28.0), 0.01)};
  constexpr double t = 0.3;
  plan.walls = {{{-t, -t / 2.0}, {size.x_m + t, -t / 2.0}, t, {}},
                {{size.x_m + t / 2.0, 0.0}, {size.x_m + t / 2.0, size.y_m}, t, {}},
                {{-t, size.y_m + t / 2.0}, {size.x_m + t, size.y_m + t / 2.0}, t, {}},
                {{-t / 2.0, 0.0}, {-t / 2.0, size.y_m}, t, {}}};
  constexpr int kColumns = 6;
  constexpr int kRows = 4;
  const Point step = {size.x_m / kColumns, size.y_m / kRows};
  for (int column = 0; column < kColumns; ++column) {
    for (int row = 0; row < kRows; ++row) {
      if (random.chance(0.3)) continue;
      const Point middle = {(column + 0.5) * step.x_m + random.uniform(-0.5, 0.5),
                            (row + 0.5) * step.y_m + random.uniform(-0.3, 0.3)};
      plan.furniture.push_back({"stand", FurnitureShape::box, rounded(middle), rounded(random.uniform(0.8, 2.4), 0.01),
                                rounded(random.uniform(0.8, 2.4), 0.01), random.chance(0.5) ? 0.0 : 90.0, 0.04});
    }
  }
  // Between stands and walls at least 1.5 m are free. Up and down the lanes between the columns, then along a long wall
  // back to the start.
  constexpr double kFromWall_m = 0.8;
  plan.route.push_back({{kFromWall_m, kFromWall_m}});
  for (int lane = 1; lane < kColumns; ++lane) {
    const double x = rounded(lane * step.x_m + random.uniform(-0.4, 0.4), 0.01);
    plan.route.push_back({{x, lane % 2 == 1 ? kFromWall_m : size.y_m - kFromWall_m}});
    plan.route.push_back({{x, lane % 2 == 1 ? size.y_m - kFromWall_m : kFromWall_m}});
  }
  plan.route.push_back({{size.x_m - kFromWall_m, size.y_m - kFromWall_m}});
  plan.route.push_back({{size.x_m - kFromWall_m, kFromWall_m}});
  plan.route.push_back({{kFromWall_m, kFromWall_m}});
  plan.route.push_back({{kFromWall_m, size.y_m - kFromWall_m}});
  for (const bool cart : {false, false, true}) plan.people.push_back(mover(plan, cart, random));
  return like_recorded(std::move(plan), seed);
}

Plan corridor_100m(std::uint64_t seed) {
  Random random(seed, "corridor of 100 m");
  Plan plan = plan_for_long_ways("corridor of 100 m", random);
  add_corridor(100.0, random, plan);
  return like_recorded(std::move(plan), seed);
}

Plan building_2km(std::uint64_t seed) {
  Random random(seed, "building of 2 km");
  Plan plan = plan_for_long_ways("building, two kilometres of way", random);
  OfficeBuilding building = office_building(1970.0, random);
  plan.walls = std::move(building.walls);
  plan.furniture = std::move(building.furniture);
  plan.route = std::move(building.route);
  return like_recorded(std::move(plan), seed);
}

Plan like_recorded_flat(std::uint64_t seed) { return like_recorded(hard_home(seed, "like a recorded one"), seed); }

Plan buffered_odometry(std::uint64_t seed) {
  Plan plan = hard_home(seed, "buffered odometry");
  plan.defects.odometry_holds_per_minute = Knob::fixed(1.0);
  plan.defects.odometry_hold_s = Knob::uniform(2.0, 4.0);
  return plan;
}

Plan misstated_noise(std::uint64_t seed) {
  Plan plan = hard_home(seed, "misstated noise");
  Random random(seed, "misstated");
  plan.defects.stated_range_noise_factor = Knob::fixed(three_times_off(random));
  plan.defects.stated_slip_factor = Knob::fixed(three_times_off(random));
  return plan;
}

Plan half_lidar_both_ways(std::uint64_t seed) {
  Random random(seed, "half lidar both ways");
  Plan plan = plan_for_long_ways("corridor both ways", random);
  plan.robot.speed_m_s = 0.5;
  plan.robot.lidar_log = LidarLog::scans;
  LidarSpec& lidar = plan.robot.lidar;
  lidar.beams = 361;
  lidar.field_deg = 180.0;
  lidar.first_beam_deg = lidar.clockwise ? 90.0 : -90.0;
  lidar.heading_deg = 0.0;
  lidar.max_range_m = 8.0;
  lidar.blind_from_deg = lidar.blind_to_deg = 0.0;
  add_corridor(rounded(random.uniform(25.0, 35.0), 0.01), random, plan);
  const std::vector<Waypoint> once = plan.route;
  plan.route.insert(plan.route.end(), once.begin(), once.end());
  return plan;
}

Plan no_odometry(std::uint64_t seed) {
  Plan plan = hard_home(seed, "no odometry");
  plan.robot.counters_dead = true;
  plan.robot.motion_log = MotionLog::wheels;
  plan.robot.gyro = false;
  return plan;
}

Plan steps_of_5cm(std::uint64_t seed) {
  Plan plan = hard_home(seed, "steps of 5 cm");
  plan.defects.range_rounding_m = Knob::fixed(0.05);
  plan.not_told = {"range_rounding_m"};
  return plan;
}

Plan people_and_carts(std::uint64_t seed) {
  Plan plan = hard_home(seed, "people and carts");
  Random random(seed, "movers");
  for (const bool cart : {false, true, false, true}) plan.people.push_back(mover(plan, cart, random));
  return plan;
}

Plan other_laws(std::uint64_t seed) {
  Plan plan = hard_home(seed, "other laws");
  plan.defects.slip_steady_rel = Knob::fixed(0.0);
  plan.defects.slip_speed_squared_rel = Knob::uniform(-0.05, 0.05);  // at 0.4 m/s up to 0.8 % of the way
  plan.defects.slip_turn_squared_rel = Knob::uniform(-0.05, 0.05);
  plan.defects.incidence_bias_m = Knob::uniform(-0.02, 0.02);
  return plan;
}

}  // namespace wainscot::simulator
