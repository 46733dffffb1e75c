#include "apps/simulator/random_house.hpp"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "apps/simulator/alike_home.hpp"
#include "apps/simulator/furnish.hpp"
#include "apps/simulator/layout.hpp"
#include "apps/simulator/plan_yaml.hpp"

namespace wainscot::simulator {
namespace {

TEST(RandomHouse, TheSameNumberGivesTheSamePlan) {
  EXPECT_EQ(plan_text(random_house(11)), plan_text(random_house(11)));
  EXPECT_NE(plan_text(random_house(11)), plan_text(random_house(12)));
}

TEST(RandomHouse, HomesAndRobotsAreOfAllTheKindsPromised) {
  int gyros = 0;
  int narrow = 0;
  int clockwise = 0;
  int returns = 0;
  int glass = 0;
  int slanted = 0;
  int people = 0;
  int thresholds = 0;
  int floors = 0;
  const int n = 40;
  for (std::uint64_t number = 1; number <= static_cast<std::uint64_t>(n); ++number) {
    const Plan plan = random_house(number);
    const RobotSpec& robot = plan.robot;
    EXPECT_GE(robot.track_width_m, 0.2);
    EXPECT_LE(robot.track_width_m, 0.4);
    EXPECT_GE(robot.speed_m_s, 0.2);
    EXPECT_LE(robot.speed_m_s, 0.5);
    EXPECT_GE(std::abs(robot.left_m_per_tick), 4.9e-5);
    EXPECT_LE(std::abs(robot.left_m_per_tick), 5.1e-4);
    EXPECT_GE(robot.lidar.turns_per_s, 5.0);
    EXPECT_LE(robot.lidar.turns_per_s, 12.0);
    EXPECT_GE(robot.lidar.max_range_m, 6.0);
    EXPECT_LE(robot.lidar.max_range_m, 12.0);
    bool pane = false;
    bool slant = false;
    bool ridge = false;
    for (const Wall& wall : plan.walls) {
      EXPECT_GE(wall.thickness_m, 0.08);
      EXPECT_LE(wall.thickness_m, 0.30);
      const double quarter = std::remainder(angle_of(wall.to - wall.from), kPi / 2.0);
      slant = slant || std::abs(quarter) > 0.02;
      for (const Opening& opening : wall.openings) {
        EXPECT_GE(opening.width_m, 0.7);
        pane = pane || opening.glass;
        ridge = ridge || opening.threshold;
      }
    }
    gyros += robot.gyro ? 1 : 0;
    narrow += robot.lidar.field_deg < 300.0 ? 1 : 0;
    clockwise += robot.lidar.clockwise ? 1 : 0;
    returns += robot.lidar_log == LidarLog::returns ? 1 : 0;
    glass += pane ? 1 : 0;
    slanted += slant ? 1 : 0;
    thresholds += ridge ? 1 : 0;
    people += plan.people.empty() ? 0 : 1;
    floors += floor_names(plan).size() > 1 ? 1 : 0;
    EXPECT_LE(plan.people.size(), 2U);
    EXPECT_GT(plan.furniture.size(), 3U) << number;
  }
  for (const int count : {gyros, narrow, clockwise, returns}) {
    EXPECT_GE(count, 2);
    EXPECT_LE(count, 30);
  }
  for (const int count : {glass, slanted, thresholds, people, floors}) EXPECT_GE(count, n / 3);
}

TEST(Layout, RoomsFillTheFootprintAndMostHomesHaveRings) {
  int rings = 0;
  const int n = 100;
  for (std::uint64_t seed = 0; seed < static_cast<std::uint64_t>(n); ++seed) {
    Random random(seed, "layout");
    LayoutOptions options;
    options.area_m2 = 60.0 + 1.4 * static_cast<double>(seed);
    const Layout layout = random_layout(options, random);
    double area = 0.0;
    for (const Room& room : layout.rooms) {
      EXPECT_GT(area_m2(room.outline), 0.5);
      area += area_m2(room.outline);
      // Convex and counter-clockwise.
      for (std::size_t i = 0; i < room.outline.size(); ++i) {
        const Point a = room.outline[i];
        const Point b = room.outline[(i + 1) % room.outline.size()];
        const Point c = room.outline[(i + 2) % room.outline.size()];
        EXPECT_GT(cross(b - a, c - b), -1e-9);
      }
    }
    // All of it, but for cut corners and a corner room given to the garden.
    EXPECT_LE(area, options.area_m2 + 1e-6);
    EXPECT_GE(area, 0.68 * options.area_m2);
    rings += layout.rings > 0 ? 1 : 0;
  }
  EXPECT_GE(rings, 60);
}

TEST(Furnish, ThingsStandInRoomsAndNotInEachOther) {
  for (std::uint64_t seed = 0; seed < 10; ++seed) {
    Random random(seed, "furnish");
    const Layout layout = random_layout({120.0, 0.75}, random);
    const std::vector<Furniture> all = furnish(layout, 0.18, 1.0, random);
    EXPECT_GT(all.size(), layout.rooms.size());
    for (std::size_t i = 0; i < all.size(); ++i) {
      const bool housed = std::any_of(layout.rooms.begin(), layout.rooms.end(),
                                      [&](const Room& room) { return contains(room.outline, all[i].centre); });
      EXPECT_TRUE(housed);
      for (const Doorway& door : layout.doorways) {
        EXPECT_GT(distance_m(footprint(all[i]), rectangle(door.centre, 0.6, 0.6, 0.0)), 0.0);
      }
      for (std::size_t k = 0; k < i; ++k) {
        if (all[i].name == "chair" || all[k].name == "chair") continue;  // chairs stand under tables
        EXPECT_GT(distance_m(footprint(all[i]), footprint(all[k])), 0.0) << all[i].name << ", " << all[k].name;
      }
    }
  }
}

TEST(AlikeHome, RoomsAreCopiesOfEachOther) {
  Random random(1, "alike");
  const AlikeHome home = alike_home({120.0, 0.75}, 0.18, 1.0, random);
  const std::size_t rooms = home.layout.rooms.size() - 1;
  EXPECT_EQ(rooms % 2, 0U);
  ASSERT_GT(home.furniture.size(), 0U);
  EXPECT_EQ(home.furniture.size() % rooms, 0U);
  for (std::size_t i = 0; i < home.furniture.size(); ++i) {
    const Furniture& first = home.furniture[i - i % rooms];
    EXPECT_EQ(home.furniture[i].name, first.name);
    EXPECT_EQ(home.furniture[i].length_m, first.length_m);
  }
  for (std::size_t k = 2; k < home.layout.rooms.size(); ++k) {
    EXPECT_NEAR(area_m2(home.layout.rooms[k].outline), area_m2(home.layout.rooms[1].outline), 1e-9);
  }
}

}  // namespace
}  // namespace wainscot::simulator
