#include "graph/changes.hpp"

#include <array>
#include <cmath>
#include <limits>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

const GridFrame kFrame{0.05, -20, -20, 100, 100};

/// A row of cells along x from `first`, with one cell left out.
std::vector<ChangedCell> leaf(std::int32_t first, std::int32_t count, std::int32_t row, int there, int gone) {
  std::vector<ChangedCell> cells;
  for (std::int32_t i = 0; i < count; ++i) {
    if (i != 3) cells.push_back({first + i, row, there, gone});
  }
  return cells;
}

TEST(Changes, ALeafIsADoorWithItsEndsAndVisits) {
  const std::vector<Change> changes = find_changes(kFrame, leaf(10, 16, 30, 5, 3));
  ASSERT_EQ(changes.size(), 1U);
  EXPECT_TRUE(changes[0].door);
  EXPECT_EQ(changes[0].visits_there, 5);
  EXPECT_EQ(changes[0].visits_gone, 3);
  EXPECT_EQ(changes[0].cells.size(), 15U);
  const Eigen::Vector2d middle = 0.5 * (changes[0].from_m + changes[0].to_m);
  EXPECT_NEAR(middle.x(), -1.0 + 0.05 * 18.0, 0.01);
  EXPECT_NEAR(middle.y(), -1.0 + 0.05 * 30.5, 1e-9);
  EXPECT_NEAR((changes[0].to_m - changes[0].from_m).norm(), 0.8, 1e-9);
}

TEST(Changes, ABlockIsNoDoor) {
  std::vector<ChangedCell> block;
  for (std::int32_t row = 40; row < 50; ++row) {
    for (const ChangedCell& cell : leaf(10, 14, row, 4, 4)) block.push_back(cell);
  }
  const std::vector<Change> changes = find_changes(kFrame, block);
  ASSERT_EQ(changes.size(), 1U);
  EXPECT_FALSE(changes[0].door);
}

TEST(Changes, ApartIsTwoAndTheLongerComesFirst) {
  std::vector<ChangedCell> cells = leaf(10, 12, 20, 2, 2);
  for (const ChangedCell& cell : leaf(10, 20, 60, 2, 2)) cells.push_back(cell);
  const std::vector<Change> changes = find_changes(kFrame, cells);
  ASSERT_EQ(changes.size(), 2U);
  EXPECT_NEAR((changes[0].to_m - changes[0].from_m).norm(), 1.0, 1e-9);
  EXPECT_NEAR((changes[1].to_m - changes[1].from_m).norm(), 0.6, 1e-9);
}

TEST(Changes, FeetAndWhatOneVisitMissedAreNone) {
  EXPECT_TRUE(find_changes(kFrame, leaf(10, 5, 20, 4, 4)).empty());
  EXPECT_TRUE(find_changes(kFrame, leaf(10, 16, 20, 9, 1)).empty());
  EXPECT_TRUE(find_changes(kFrame, leaf(10, 16, 20, 1, 9)).empty());
  EXPECT_TRUE(find_changes(kFrame, {}).empty());
}

TEST(Changes, ADoorsCellsAreNeitherWallNorFree) {
  OccupancyGrid grid{kFrame, std::vector<float>(10000, 0.9F)};
  const std::vector<Change> changes = find_changes(kFrame, leaf(10, 16, 30, 5, 3));
  soften_doors(changes, grid);
  for (const std::size_t cell : changes[0].cells) {
    EXPECT_LT(grid.probability[cell], 0.5F);
    EXPECT_GT(grid.probability[cell], 0.3F);
  }
  EXPECT_EQ(grid.probability[0], 0.9F);
}

/// All floor seen to be free, but for what `occupied` says: a row of cells from a first one.
OccupancyGrid floor_with(const std::vector<std::array<std::int32_t, 3>>& occupied) {
  OccupancyGrid grid{kFrame, std::vector<float>(10000, 0.01F)};
  for (const auto& [first, count, row] : occupied) {
    for (std::int32_t i = 0; i < count; ++i) grid.probability[static_cast<std::size_t>(row * 100 + first + i)] = 0.97F;
  }
  return grid;
}

TEST(Changes, BetweenDrivesAThingIsGoneHereAndNewThere) {
  const std::vector<Change> changes = find_changes_since(floor_with({{{10, 16, 30}}}), floor_with({{{50, 10, 60}}}), 3);
  ASSERT_EQ(changes.size(), 2U);
  EXPECT_FALSE(changes[0].appeared);
  EXPECT_NEAR((changes[0].to_m - changes[0].from_m).norm(), 0.8, 1e-6);
  EXPECT_TRUE(changes[1].appeared);
  EXPECT_NEAR((changes[1].to_m - changes[1].from_m).norm(), 0.5, 1e-6);
  for (const Change& change : changes) EXPECT_EQ(change.since_drive, 3);
}

TEST(Changes, AFaceOneCellBesideAndWhatNobodySawAreNone) {
  EXPECT_TRUE(find_changes_since(floor_with({{{10, 16, 30}}}), floor_with({{{10, 16, 31}}}), 2).empty());
  OccupancyGrid not_seen = floor_with({});
  for (float& p : not_seen.probability) p = std::numeric_limits<float>::quiet_NaN();
  EXPECT_TRUE(find_changes_since(floor_with({{{10, 16, 30}}}), not_seen, 2).empty());
  EXPECT_TRUE(find_changes_since(not_seen, floor_with({{{10, 16, 30}}}), 2).empty());
}

TEST(Changes, WhatLiesBesideOthersIsToldOnce) {
  const std::vector<Change> others = find_changes(kFrame, leaf(10, 16, 30, 5, 3));
  EXPECT_TRUE(apart_from(find_changes(kFrame, leaf(12, 10, 31, 5, 3)), others, kFrame).empty());
  EXPECT_EQ(apart_from(find_changes(kFrame, leaf(12, 10, 33, 5, 3)), others, kFrame).size(), 1U);
}

TEST(Changes, ADoorBetweenDrivesIsNotSoftened) {
  OccupancyGrid grid = floor_with({});
  std::vector<Change> changes = find_changes_since(floor_with({{{10, 16, 30}}}), grid, 2);
  ASSERT_EQ(changes.size(), 1U);
  ASSERT_TRUE(changes[0].door);
  soften_doors(changes, grid);
  EXPECT_EQ(grid.probability[3010], 0.01F);
}

}  // namespace
}  // namespace wainscot
