#include "io/page/warning_places.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// Ten nodes a metre apart along x, one a second.
Map straight_map() {
  Map map;
  for (int i = 0; i < 10; ++i) {
    Node node;
    node.time_s = i;
    node.pose = {1.0 * i, 0.0, 0.0};
    map.graph.nodes.push_back(node);
  }
  return map;
}

const std::string kLeftOpen = "along 3 m of the way the walls told nothing of one direction (a bare corridor's length)";

TEST(WarningPlaces, StretchesThatFollowOneAnotherAreOneLine) {
  Map map = straight_map();
  map.troubles.left_open = {2, 3, 7};
  const std::vector<WarningPlace> places = warning_places(map, {"a clock that runs slow", kLeftOpen});
  ASSERT_EQ(places.size(), 2u);
  EXPECT_EQ(places[0].warning, 1u);
  EXPECT_EQ(places[0].line_m, (std::vector<Eigen::Vector2d>{{1, 0}, {2, 0}, {3, 0}}));
  EXPECT_EQ(places[1].line_m, (std::vector<Eigen::Vector2d>{{6, 0}, {7, 0}}));
}

// Each jump that is told has its own place; those that are not share the sentence about them.
TEST(WarningPlaces, JumpsAreFoundByTheirTimes) {
  Map map = straight_map();
  map.troubles.jumps = {3, 5, 8};
  const std::vector<WarningPlace> places =
      warning_places(map, {"between 4.0 and 5.0 s odometry went wrong by 0.30 m and 2 degrees",
                           "so it did 2 times more: look for wheels that slip, and for gaps in the log"});
  ASSERT_EQ(places.size(), 3u);
  EXPECT_EQ(places[0].line_m, (std::vector<Eigen::Vector2d>{{4, 0}, {5, 0}}));
  EXPECT_EQ(places[1].warning, 1u);
  EXPECT_EQ(places[1].line_m.back(), Eigen::Vector2d(3, 0));
  EXPECT_EQ(places[2].line_m.back(), Eigen::Vector2d(8, 0));
}

TEST(WarningPlaces, UnjoinedNodesAreShown) {
  Map map = straight_map();
  map.troubles.unjoined = {5};
  const std::vector<WarningPlace> places =
      warning_places(map, {"1 of 10 nodes are tied to the rest by odometry alone, where it had gone wrong"});
  ASSERT_EQ(places.size(), 1u);
  EXPECT_EQ(places[0].line_m, (std::vector<Eigen::Vector2d>{{4, 0}, {5, 0}}));
}

TEST(WarningPlaces, LooseAndUnsureNodesAreShown) {
  Map map = straight_map();
  map.graph.edges.push_back({EdgeKind::odometry, 3, 4, {}, Eigen::Matrix3d::Identity()});
  map.place_sds_m.assign(10, 0.01);
  map.place_sds_m[9] = 0.2;
  const std::vector<WarningPlace> places =
      warning_places(map, {"1 of 10 nodes fit no wall that was seen before them: drive slower",
                           "the place of the least certain part is known to 0.20 m only: drive back"});
  ASSERT_EQ(places.size(), 2u);
  EXPECT_EQ(places[0].line_m, (std::vector<Eigen::Vector2d>{{3, 0}, {4, 0}}));
  EXPECT_EQ(places[1].line_m, (std::vector<Eigen::Vector2d>{{8, 0}, {9, 0}}));
}

TEST(WarningPlaces, RowsLeftOutAndLinesElsewhereAreShown) {
  Map map = straight_map();
  map.markers.left_out.push_back({0, 6.2, "7", "nowhere"});
  map.lines.lines.push_back({});
  map.lines.lines.back().name = "hall";
  map.lines.lines.back().from_m = {1.0, 2.0};
  map.lines.lines.back().to_m = {3.0, 2.0};
  const std::vector<WarningPlace> places =
      warning_places(map, {"1 row of markers.csv was left out, at 6.2 s (marker 7: nowhere)",
                           "line hall lies 0.300 m from where line_map.csv has it"});
  ASSERT_EQ(places.size(), 2u);
  EXPECT_EQ(places[0].line_m.back(), Eigen::Vector2d(6, 0));
  EXPECT_EQ(places[1].line_m, (std::vector<Eigen::Vector2d>{{1, 2}, {3, 2}}));
}

TEST(WarningPlaces, NothingHasNoPlace) { EXPECT_TRUE(warning_places(Map{}, {kLeftOpen, "odd"}).empty()); }

}  // namespace
}  // namespace wainscot
