#include "apps/simulator/route_planner.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include <gtest/gtest.h>

#include "tests/apps/simulator/small_house.hpp"

namespace wainscot::simulator {
namespace {

constexpr double kCell_m = 0.05;

double length_m(const std::vector<Point>& way) {
  double sum = 0.0;
  for (std::size_t i = 1; i < way.size(); ++i) sum += norm(way[i] - way[i - 1]);
  return sum;
}

// The room is 6 m by 4 m between the faces.
TEST(RoutePlanner, ClearanceIsTheDistanceToTheNearestFace) {
  const FloorGrid grid(empty_room(), 0.2);
  EXPECT_NEAR(grid.clearance_m({0.5, 2.0}), 0.5, kCell_m);
  EXPECT_NEAR(grid.clearance_m({3.0, 3.7}), 0.3, kCell_m);
  EXPECT_NEAR(grid.clearance_m({0.3, 0.4}), 0.3, kCell_m);
  EXPECT_NEAR(grid.clearance_m({3.0, 2.0}), 1.0, 1e-6) << "at most one metre";
  EXPECT_EQ(grid.clearance_m({-5.0, 2.0}), 0.0) << "outside the grid";
  // The least on the way: at its end, 0.4 m before the wall.
  EXPECT_NEAR(grid.clearance_m({3.0, 2.0}, {5.6, 2.0}), 0.4, kCell_m);
  EXPECT_LT(grid.clearance_m({3.0, 2.0}, {9.0, 2.0}), kCell_m) << "through the wall";
}

TEST(RoutePlanner, FurnitureIsSolidBetweenItsLegsToo) {
  Plan plan = empty_room();
  plan.furniture = {{"table", FurnitureShape::legs, {3.0, 2.0}, 1.2, 0.8, 0.0, 0.05}};
  const FloorGrid grid(plan, 0.2);
  EXPECT_EQ(grid.clearance_m({3.0, 2.0}), 0.0);
  EXPECT_NEAR(grid.clearance_m({3.0, 2.8}), 0.4, kCell_m);
}

TEST(RoutePlanner, CellsAndTheirMiddlesBelongTogether) {
  const FloorGrid grid(empty_room(), 0.2);
  for (int i = 0; i < grid.cells(); i += 97) EXPECT_EQ(grid.cell(grid.centre(i)), i);
  const Point p = {2.34, 1.23};
  EXPECT_LE(norm(grid.centre(grid.cell(p)) - p), kCell_m / std::sqrt(2.0) + 1e-9);
}

TEST(RoutePlanner, TheWayAcrossAnEmptyRoomIsStraight) {
  const FloorGrid grid(empty_room(), 0.2);
  const Point from = {1.5, 2.0};
  const Point to = {4.5, 2.0};
  const auto way = grid.way(from, to, nullptr);
  ASSERT_TRUE(way);
  EXPECT_LE(norm(way->front() - from), kCell_m);
  EXPECT_LE(norm(way->back() - to), kCell_m);
  EXPECT_NEAR(length_m(*way), 3.0, 2.0 * kCell_m);
}

TEST(RoutePlanner, TheWayGoesThroughTheDoorAndKeepsClear) {
  const double least_m = 0.25;
  const FloorGrid grid(two_rooms(), least_m);
  const auto way = grid.way({1.5, 3.0}, {4.0, 1.5}, nullptr);
  ASSERT_TRUE(way);
  bool through = false;
  for (std::size_t i = 1; i < way->size(); ++i) {
    const Point a = (*way)[i - 1];
    const Point b = (*way)[i];
    EXPECT_GE(grid.clearance_m(a, b), least_m - kCell_m) << i;
    if ((a.x_m < 3.0) == (b.x_m < 3.0)) continue;
    // The doorway lies from 0.55 to 1.45 m; the pane further on is no way.
    const double y_m = a.y_m + (3.0 - a.x_m) / (b.x_m - a.x_m) * (b.y_m - a.y_m);
    EXPECT_GT(y_m, 0.55);
    EXPECT_LT(y_m, 1.45);
    through = true;
  }
  EXPECT_TRUE(through);
}

TEST(RoutePlanner, WhereTheRobotIsTooWideThereIsNoWay) {
  const FloorGrid grid(two_rooms(), 0.5);  // the doorway is 0.9 m wide
  EXPECT_FALSE(grid.way({1.5, 2.5}, {4.2, 1.8}, nullptr));
  const std::vector<double> costs = grid.costs_from({1.5, 2.5});
  EXPECT_TRUE(std::isinf(costs[static_cast<std::size_t>(grid.cell({4.2, 1.8}))]));
  EXPECT_TRUE(std::isfinite(costs[static_cast<std::size_t>(grid.cell({1.5, 1.0}))]));
}

TEST(RoutePlanner, CostsGrowWithTheWay) {
  const FloorGrid grid(empty_room(), 0.2);
  const std::vector<double> costs = grid.costs_from({1.0, 2.0});
  const auto cost_to = [&](Point p) { return costs[static_cast<std::size_t>(grid.cell(p))]; };
  EXPECT_EQ(cost_to({1.0, 2.0}), 0.0);
  // Where all is more than 0.6 m away a metre costs a metre; nearer to a wall it costs more.
  EXPECT_NEAR(cost_to({4.0, 2.0}), 3.0, 1e-6);
  EXPECT_GT(cost_to({1.0, 3.7}), 1.7 + 1e-6);
  EXPECT_LT(cost_to({2.0, 2.0}), cost_to({3.0, 2.0}));
}

TEST(RoutePlanner, WhatIsDislikedIsGoneRound) {
  const FloorGrid grid(empty_room(), 0.2);
  const Point middle = {3.0, 2.0};
  const auto dislike = [&](Point p) { return norm(p - middle) < 0.7 ? 30.0 : 1.0; };
  const auto plain = grid.way({1.0, 2.0}, {5.0, 2.0}, nullptr);
  const auto round = grid.way({1.0, 2.0}, {5.0, 2.0}, dislike);
  ASSERT_TRUE(plain && round);
  const auto nearest = [&](const std::vector<Point>& way) {
    double least = 1e9;
    for (std::size_t i = 1; i < way.size(); ++i) least = std::min(least, distance_m(middle, way[i - 1], way[i]));
    return least;
  };
  EXPECT_LT(nearest(*plain), 0.1);
  EXPECT_GT(length_m(*round), length_m(*plain));
}

}  // namespace
}  // namespace wainscot::simulator
