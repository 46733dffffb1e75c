#include "apps/simulator/plan.hpp"

#include <gtest/gtest.h>

#include "small_house.hpp"

namespace wainscot::simulator {
namespace {

TEST(Plan, AHouseStandsAsItsMovesSay) {
  Plan plan = two_rooms();
  plan.walls.back().openings[0].leaf->moves = {{10.0, 0.0}, {30.0, 75.0}};
  plan.furniture[1].moves = {{20.0, {5.0, 1.0}, 0.0}, {30.0, {4.0, 1.0}, 10.0}};
  EXPECT_EQ(change_times_s(plan), (std::vector<double>{10.0, 20.0, 30.0}));
  const auto leaf_deg = [&](double time_s) { return house_at(plan, time_s).walls.back().openings[0].leaf->open_deg; };
  EXPECT_EQ(leaf_deg(0.0), 90.0);
  EXPECT_EQ(leaf_deg(10.0), 0.0);
  EXPECT_EQ(leaf_deg(29.9), 0.0);
  EXPECT_EQ(leaf_deg(99.0), 75.0);
  EXPECT_EQ(house_at(plan, 19.0).furniture[1].centre.x_m, 5.5);
  EXPECT_EQ(house_at(plan, 25.0).furniture[1].centre.x_m, 5.0);
  EXPECT_EQ(house_at(plan, 31.0).furniture[1].heading_deg, 10.0);
  EXPECT_TRUE(change_times_s(house_at(plan, 25.0)).empty());
  EXPECT_TRUE(change_times_s(two_rooms()).empty());
}

}  // namespace
}  // namespace wainscot::simulator
