#include "apps/simulator/bare_places.hpp"

#include <algorithm>
#include <cmath>

#include "apps/simulator/random.hpp"
#include "apps/simulator/random_robot.hpp"

namespace wainscot::simulator {

namespace {

void add_box(Plan& plan, const char* name, Point centre, double length_m, double width_m) {
  plan.furniture.push_back(
      {name, FurnitureShape::box, rounded(centre), rounded(length_m, 0.01), rounded(width_m, 0.01), 0.0, 0.04});
}

// Four walls around low .. high (their inner faces); the opening is in the wall at the given side.
enum class Side { west, east, none };
void add_room(Plan& plan, Point low, Point high, Side side, double at_y_m, double opening_m) {
  constexpr double t = 0.2;
  const double h = t / 2.0;
  plan.walls.push_back({{low.x_m - t, low.y_m - h}, {high.x_m + t, low.y_m - h}, t, {}});
  plan.walls.push_back({{low.x_m - t, high.y_m + h}, {high.x_m + t, high.y_m + h}, t, {}});
  for (const bool west : {true, false}) {
    const double x = west ? low.x_m - h : high.x_m + h;
    Wall wall = {{x, low.y_m}, {x, high.y_m}, t, {}};
    if (side == (west ? Side::west : Side::east)) {
      wall.openings.push_back({at_y_m - low.y_m, opening_m, std::nullopt, false, false});
    }
    plan.walls.push_back(wall);
  }
}

// A rectangle of waypoints, once round, ending where it began.
void add_round(std::vector<Waypoint>& route, Point low, Point high) {
  for (const Point p : {Point{low.x_m, low.y_m}, Point{high.x_m, low.y_m}, Point{high.x_m, high.y_m},
                        Point{low.x_m, high.y_m}, Point{low.x_m, low.y_m}}) {
    route.push_back({rounded(p)});
  }
}

}  // namespace

Plan bare_corridor(std::uint64_t seed) {
  Random random(seed, "bare corridor");
  Plan plan = plan_without_house("bare corridor", random);
  plan.robot.lidar.max_range_m = 6.0;
  const double length = rounded(random.uniform(30.0, 60.0), 0.01);
  const double width = rounded(random.uniform(1.5, 2.4), 0.01);
  constexpr double t = 0.2;
  plan.walls.push_back({{0.0, -t / 2.0}, {length, -t / 2.0}, t, {}});
  plan.walls.push_back({{0.0, width + t / 2.0}, {length, width + t / 2.0}, t, {}});
  for (const bool west : {true, false}) {
    // The corridor's mouth is as wide as the corridor.
    const double deep = random.uniform(4.0, 5.5);
    const double below = random.uniform(1.0, 2.0);
    const double above = random.uniform(1.0, 2.0);
    const double from = west ? -deep - t : length + t;
    const double to = west ? -t : length + deep + t;
    const Point low = {from, -below};
    const Point high = {to, width + above};
    add_room(plan, low, high, west ? Side::east : Side::west, width / 2.0, width);
    const double far = west ? low.x_m : high.x_m;
    const double inwards = west ? 1.0 : -1.0;
    add_box(plan, "cupboard", {far + inwards * 0.25, high.y_m - 0.8}, 0.5, random.uniform(0.6, 1.2));
    add_box(plan, "bench", {far + inwards * random.uniform(1.0, 2.0), low.y_m + 0.2}, random.uniform(0.8, 1.4), 0.4);
  }
  const double middle = width / 2.0;
  const auto lobby = [&](bool west) {
    const double x = west ? -2.2 : length + 2.2;
    const double out = west ? -1.0 : 1.0;
    add_round(plan.route, {x, middle}, {x + out * 0.8, middle + 0.5});
  };
  lobby(true);
  const int times = 1 + random.below(2);
  for (int i = 0; i < times; ++i) {
    lobby(false);
    lobby(true);
  }
  return plan;
}

Plan pillar_hall(std::uint64_t seed, double max_range_m) {
  Random random(seed, "pillar hall");
  Plan plan = plan_without_house("hall with pillars", random);
  plan.robot.lidar.max_range_m = max_range_m;
  plan.robot.speed_m_s = std::max(plan.robot.speed_m_s, 0.4);
  const Point size = {rounded(random.uniform(28.0, 32.0), 0.01), rounded(random.uniform(18.0, 22.0), 0.01)};
  add_room(plan, {0.0, 0.0}, size, Side::none, 0.0, 0.0);
  const int columns = 4 + random.below(3);
  const int rows = 2 + random.below(2);
  const bool round = random.chance(0.5);
  const double thick = rounded(random.uniform(0.3, 0.6), 0.01);
  const Point step = {size.x_m / (columns + 1), size.y_m / (rows + 1)};
  for (int column = 1; column <= columns; ++column) {
    for (int row = 1; row <= rows; ++row) {
      Furniture pillar = {"pillar", round ? FurnitureShape::round : FurnitureShape::box, {}, thick, thick, 0.0, 0.04};
      pillar.centre = rounded(Point{column * step.x_m, row * step.y_m});
      plan.furniture.push_back(pillar);
    }
  }
  // Up and down between the rows, then once round along the walls.
  plan.route.push_back({rounded(Point{1.2, 1.2})});
  for (int lane = 0; lane <= columns; ++lane) {
    const double x = rounded((lane + 0.5) * step.x_m, 0.01);
    plan.route.push_back({{x, lane % 2 == 0 ? 1.2 : size.y_m - 1.2}});
    plan.route.push_back({{x, lane % 2 == 0 ? size.y_m - 1.2 : 1.2}});
  }
  const Point far = size - Point{1.2, 1.2};
  const bool at_top = columns % 2 == 0;
  std::vector<Point> around = {{far.x_m, far.y_m}, {far.x_m, 1.2}, {1.2, 1.2}, {1.2, far.y_m}, {far.x_m, far.y_m}};
  if (!at_top) around = {{far.x_m, 1.2}, {far.x_m, far.y_m}, {1.2, far.y_m}, {1.2, 1.2}, {far.x_m, 1.2}};
  for (const Point p : around) plan.route.push_back({rounded(p)});
  return plan;
}

Plan round_room(std::uint64_t seed) {
  Random random(seed, "round room");
  Plan plan = plan_without_house("round room", random);
  const double radius = rounded(random.uniform(3.0, 5.0), 0.01);
  const double door = rounded(std::max(0.8, 2.0 * plan.robot.radius_m + 0.35), 0.01);
  constexpr double t = 0.2;
  // So many short walls that their middles lie within 2 mm of the circle; the door is a gap at angle 0.
  constexpr int kSides = 160;
  const double half_gap = std::asin((door / 2.0) / radius);
  const double step = (2.0 * kPi - 2.0 * half_gap) / kSides;
  const auto corner = [&](int i) { return (radius + t / 2.0) * direction(half_gap + i * step); };
  for (int i = 0; i < kSides; ++i) plan.walls.push_back({corner(i), corner(i + 1), t, {}});
  // The jambs, from the round face to the square room's.
  for (const double y : {door / 2.0 + 0.05, -door / 2.0 - 0.05}) {
    plan.walls.push_back({{radius * std::cos(half_gap), y}, {radius + 2.0 * t, y}, 0.1, {}});
  }
  const double side = rounded(random.uniform(2.6, 3.6), 0.01);
  const double west = radius + t;
  const double shift = random.uniform(-0.4, 0.4);
  add_room(plan, {west + t, shift - side / 2.0}, {west + t + side, shift + side / 2.0}, Side::west, 0.0, door);
  add_box(plan, "cupboard", {west + side, shift + side / 2.0 - 0.2}, 0.8, 0.4);
  // Round walls answer all alike: a bias for each short piece would draw marks on them.
  plan.defects.surface_bias_m = Knob::fixed(random.uniform(-0.005, 0.005));
  const Point start = {west + t + side / 2.0, 0.0};
  plan.route = {{start}, {{radius - 0.8, 0.0}}};
  const double ring = radius * random.uniform(0.4, 0.7);
  const int rounds = 2 + random.below(2);
  for (int i = 0; i <= 12 * rounds; ++i) plan.route.push_back({rounded(ring * direction(2.0 * kPi * i / 12.0))});
  plan.route.push_back({{0.0, 0.0}, 1.0, true});
  plan.route.push_back({{radius - 0.8, 0.0}});
  plan.route.push_back({start});
  return plan;
}

}  // namespace wainscot::simulator
