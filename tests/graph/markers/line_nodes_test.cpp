#include "graph/markers/line_nodes.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

Drive drive_on_lines() {
  Drive drive;
  drive.followed = {{0.5, 2.0, "b", 0.004}, {2.5, 2.9, "a", 0.01}, {3.0, 9.0, "b", 0.01}};
  return drive;
}

TEST(LineNodes, NamesAreThereOnce) { EXPECT_EQ(line_names(drive_on_lines()), (std::vector<std::string>{"a", "b"})); }

TEST(LineNodes, EachStretchHasTheNodesOfItsTime) {
  const std::vector<StretchNodes> stretches = nodes_of_stretches(drive_on_lines(), {0.0, 1.0, 2.0, 3.0, 4.0});
  ASSERT_EQ(stretches.size(), 3u);
  EXPECT_EQ(stretches[0].nodes, (std::vector<std::size_t>{1, 2}));
  EXPECT_EQ(stretches[0].line, 1u);
  EXPECT_EQ(stretches[0].sd_m, 0.004);
  EXPECT_TRUE(stretches[1].nodes.empty());
  EXPECT_EQ(stretches[2].nodes, (std::vector<std::size_t>{3, 4}));
  EXPECT_EQ(stretches[2].stretch, 2u);
  const std::vector<Pose2> poses{{0.0, 0.0, 0.0}, {1.0, 2.0, 0.5}, {3.0, 4.0, 0.5}};
  EXPECT_EQ(places_of(stretches[0], poses)[1], Eigen::Vector2d(3.0, 4.0));
}

}  // namespace
}  // namespace wainscot
