#include "graph/known/passing.hpp"

#include <limits>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// Two metres square of free floor with a wall along its right side, and unseen cells along its top.
OccupancyGrid room() {
  OccupancyGrid grid{{0.05, 0, 0, 40, 40}, std::vector<float>(1600, 0.05F)};
  for (std::size_t i = 0; i < 40; ++i) {
    grid.probability[40 * i + 39] = 0.95F;
    grid.probability[40 * 39 + i] = std::numeric_limits<float>::quiet_NaN();
  }
  return grid;
}

std::vector<Eigen::Vector2d> leg_at(double x_m, double y_m, int returns, double step_m = 0.03) {
  std::vector<Eigen::Vector2d> points;
  for (int i = 0; i < returns; ++i) points.emplace_back(x_m + step_m * i, y_m);
  return points;
}

TEST(Passing, FindsWhatStandsOnFreeFloor) {
  const std::vector<Passing> things = find_passing(room(), leg_at(0.5, 0.6, 5));
  ASSERT_EQ(things.size(), 1U);
  EXPECT_NEAR(things[0].middle_m.x(), 0.56, 1e-9);
  EXPECT_NEAR(things[0].middle_m.y(), 0.6, 1e-9);
  EXPECT_NEAR(things[0].width_m, 0.12, 1e-9);
}

TEST(Passing, TwoLegsAreTwoThings) {
  std::vector<Eigen::Vector2d> points = leg_at(0.3, 0.6, 4);
  for (const Eigen::Vector2d& point : leg_at(0.9, 0.6, 4)) points.push_back(point);
  EXPECT_EQ(find_passing(room(), points).size(), 2U);
}

TEST(Passing, LeavesOutWallsStrayReturnsAndWhatIsTooWide) {
  std::vector<Eigen::Vector2d> wall;
  for (int i = 0; i < 20; ++i) wall.emplace_back(1.93, 0.4 + 0.03 * i);
  EXPECT_TRUE(find_passing(room(), wall).empty());
  EXPECT_TRUE(find_passing(room(), leg_at(0.5, 0.6, 3)).empty());
  EXPECT_TRUE(find_passing(room(), leg_at(0.2, 0.6, 12, 0.12)).empty());
  EXPECT_TRUE(find_passing(room(), leg_at(-3.0, 0.6, 5)).empty());
  EXPECT_TRUE(find_passing(OccupancyGrid{}, leg_at(0.5, 0.6, 5)).empty());
}

}  // namespace
}  // namespace wainscot
