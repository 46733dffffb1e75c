#include "io/page/map_figure.hpp"

#include <string>

#include <gtest/gtest.h>

#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

// A straight run of many poses is one line: the page of an hour's drive stays small.
TEST(MapFigure, ThinsThePath) {
  Map map = sample_map();
  map.trajectory.clear();
  for (int i = 0; i <= 1000; ++i) {
    TrajectoryRow row;
    row.pose.x_m = i * 0.01;
    map.trajectory.push_back(row);
  }
  EXPECT_NE(map_figure(map, FrameSetBy::walls).find("points=\"0,0 10,0\""), std::string::npos);
}

TEST(MapFigure, SaysInWhichFrameItIs) {
  const auto says = [](FrameSetBy frame, const char* part) {
    return map_figure(sample_map(), frame).find(part) != std::string::npos;
  };
  EXPECT_TRUE(says(FrameSetBy::first_scan, "y up, from the robot's first place."));
  EXPECT_TRUE(says(FrameSetBy::walls, "y up, along most of the walls, from the robot's first place."));
  EXPECT_TRUE(says(FrameSetBy::user, "y up, in the frame that was given with --origin."));
  EXPECT_TRUE(says(FrameSetBy::survey, "y up, in the frame of marker_map.csv."));
}

// The grid is 0.15 m wide; odometry's path goes on for a quarter of that only.
TEST(MapFigure, CutsOdometryThatLeavesTheGridByFar) {
  Map map = sample_map();
  const char* cut = "The path by odometry alone leaves the picture.";
  EXPECT_NE(map_figure(map, FrameSetBy::walls).find(cut), std::string::npos);
  const Eigen::Vector2d corner = map.grid.frame.lower_left_corner_m();
  for (TrajectoryRow& row : map.trajectory) row.odometry = {corner.x() + 0.18, corner.y(), 0.0};
  const std::string figure = map_figure(map, FrameSetBy::walls);
  EXPECT_EQ(figure.find(cut), std::string::npos);
  EXPECT_NE(figure.find("viewBox=\"-1.85 -0.3 0.18 0.1\""), std::string::npos);
}

}  // namespace
}  // namespace wainscot
