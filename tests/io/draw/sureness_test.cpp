#include "io/draw/sureness.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

Node node_at(double x_m, double y_m) {
  Node node;
  node.pose = {x_m, y_m, 0.0};
  return node;
}

/// A wall two cells thick, from the lower edge of a grid 42 cells wide on.
void put_wall(std::size_t rows, Map& map) {
  for (std::size_t row = 0; row < rows; ++row) {
    map.grid.probability[row * 42 + 20] = map.grid.probability[row * 42 + 21] = 1.0F;
  }
}

/// Two rooms side by side, 2 m by 1 m each, with a wall of 0.2 m between and a door 0.2 m wide at its upper end.
Map two_rooms() {
  Map map;
  map.grid = {{0.1, -10, 0, 42, 10}, std::vector<float>(420, 0.0F)};
  put_wall(8, map);
  map.graph.nodes = {node_at(0.9, 0.1), node_at(1.3, 0.1)};
  map.place_sds_m = {0.0, 0.04};
  return map;
}

/// The level of the square at a place, from 1; 0: none.
int level_at(const std::vector<PlanArea>& areas, double x_m, double y_m) {
  for (std::size_t i = 0; i < areas.size(); ++i) {
    const GridFrame& frame = areas[i].frame;
    const int column = static_cast<int>(std::floor(x_m / frame.cell_size_m)) - frame.first_column;
    const int row = static_cast<int>(std::floor(y_m / frame.cell_size_m)) - frame.first_row;
    if (areas[i].marked[static_cast<std::size_t>(row * frame.columns + column)]) return static_cast<int>(i) + 1;
  }
  return 0;
}

// The nearest node is the nearest by way: right beside the wall each room has the level of its own node.
TEST(Sureness, FloorHasTheLevelOfTheNodeThatAWayLeadsTo) {
  const std::vector<PlanArea> areas = sureness_areas(two_rooms(), true);
  ASSERT_EQ(areas.size(), 4u);
  EXPECT_EQ(areas[0].classes, "sure-1");
  EXPECT_EQ(areas[0].name, "up to 10 mm");
  EXPECT_EQ(areas[2].name, "30 to 100 mm");
  EXPECT_DOUBLE_EQ(areas[0].frame.cell_size_m, 0.2);
  EXPECT_EQ(level_at(areas, -0.9, 0.3), 1);
  EXPECT_EQ(level_at(areas, 0.9, 0.3), 1);
  EXPECT_EQ(level_at(areas, 1.3, 0.3), 3);
  EXPECT_EQ(level_at(areas, 3.1, 0.9), 3);
  EXPECT_EQ(level_at(areas, 1.1, 0.3), 0) << "a wall";
}

TEST(Sureness, BoundsBelongToTheSurerLevel) {
  Map map = two_rooms();
  for (const auto& [sd_m, level] : {std::pair{0.0099, 1}, {0.0101, 2}, {0.0301, 3}, {0.1001, 4}, {30.0, 4}}) {
    map.graph.nodes = {node_at(0.1, 0.1)};
    map.place_sds_m = {sd_m};
    EXPECT_EQ(level_at(sureness_areas(map, true), 0.5, 0.5), level) << sd_m;
  }
  map.place_sds_m = {std::numeric_limits<double>::quiet_NaN()};
  EXPECT_EQ(level_at(sureness_areas(map, true), 0.5, 0.5), 4);
}

TEST(Sureness, NothingIsSureWhereNothingIsKnown) {
  EXPECT_EQ(level_at(sureness_areas(two_rooms(), false), -0.9, 0.3), 4);
}

TEST(Sureness, WhatNoWayLeadsToHasNoLevel) {
  Map map = two_rooms();
  put_wall(10, map);
  map.graph.nodes.pop_back();
  map.place_sds_m.pop_back();
  const std::vector<PlanArea> areas = sureness_areas(map, true);
  EXPECT_EQ(level_at(areas, 0.5, 0.5), 1);
  EXPECT_EQ(level_at(areas, 2.5, 0.5), 0);
}

TEST(Sureness, OfAnEmptyMapIsEmpty) {
  for (const PlanArea& area : sureness_areas(Map{}, true)) EXPECT_TRUE(area.marked.empty());
}

}  // namespace
}  // namespace wainscot
