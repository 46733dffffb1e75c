#include "io/time_line.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(TimeLine, ALaterDriveFollowsASecondAfterTheOneBefore) {
  Map map;
  map.trajectory = {{5.0, {}, {}, 1}, {9.0, {}, {}, 1}, {100.0, {}, {}, 2}, {103.0, {}, {}, 2}, {0.5, {}, {}, 3}};
  Node node;
  node.drive = 2;
  node.time_s = 101.0;
  map.graph.nodes = {node};
  EXPECT_EQ(time_shifts_s(map.trajectory), (std::vector<double>{0.0, -90.0, 13.5}));
  const Map on_line = on_one_time_line(map);
  EXPECT_EQ(on_line.trajectory[2].time_s, 10.0);
  EXPECT_EQ(on_line.trajectory[4].time_s, 14.0);
  EXPECT_EQ(on_line.graph.nodes[0].time_s, 11.0);
}

TEST(TimeLine, OneDriveKeepsItsTimes) {
  Map map;
  map.trajectory = {{5.0, {}, {}, 1}, {9.0, {}, {}, 1}};
  EXPECT_EQ(on_one_time_line(map).trajectory[1].time_s, 9.0);
  EXPECT_TRUE(on_one_time_line(Map{}).trajectory.empty());
}

}  // namespace
}  // namespace wainscot
