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
  EXPECT_NE(map_figure(map, FrameSetBy::walls, Grade::good, {}).find("points=\"0,0 10,0\""), std::string::npos);
}

TEST(MapFigure, SaysInWhichFrameItIs) {
  const auto says = [](FrameSetBy frame, const char* part) {
    return map_figure(sample_map(), frame, Grade::good, {}).find(part) != std::string::npos;
  };
  EXPECT_TRUE(says(FrameSetBy::first_scan, "y up, from the robot's first place."));
  EXPECT_TRUE(says(FrameSetBy::walls, "y up, along most of the walls, from the robot's first place."));
  EXPECT_TRUE(says(FrameSetBy::user, "y up, in the frame that was given with --origin."));
  EXPECT_TRUE(says(FrameSetBy::survey, "y up, in the frame of marker_map.csv."));
}

// The grid is 0.15 m wide; odometry's path goes on for as much only.
TEST(MapFigure, CutsOdometryThatLeavesTheGridByFar) {
  Map map = sample_map();
  const char* cut = "The path by odometry alone leaves the picture.";
  EXPECT_NE(map_figure(map, FrameSetBy::walls, Grade::good, {}).find(cut), std::string::npos);
  const Eigen::Vector2d corner = map.grid.frame.lower_left_corner_m();
  for (TrajectoryRow& row : map.trajectory) row.odometry = {corner.x() + 0.18, corner.y(), 0.0};
  const std::string figure = map_figure(map, FrameSetBy::walls, Grade::good, {});
  EXPECT_EQ(figure.find(cut), std::string::npos);
  EXPECT_NE(figure.find("viewBox=\"-1.85 -0.3 0.18 0.1\""), std::string::npos);
}

// One warning has two stretches: its number stands at the longer one. And then how sure each place is shows at once.
TEST(MapFigure, MarksWhereWarningsHappened) {
  const std::string sure = "id=\"show-sureness\" checked";
  EXPECT_EQ(map_figure(sample_map(), FrameSetBy::walls, Grade::good, {}).find(sure), std::string::npos);
  EXPECT_EQ(map_figure(sample_map(), FrameSetBy::walls, Grade::good, {}).find("show-places"), std::string::npos);
  const std::string figure =
      map_figure(sample_map(), FrameSetBy::walls, Grade::usable, {{2, {{1.0, 0.5}}}, {2, {{0.0, 0.0}, {0.5, 0.25}}}});
  EXPECT_NE(figure.find("<polyline class=\"place\" data-warning=\"2\" points=\"1,-0.5 1,-0.5\"/>"), std::string::npos);
  EXPECT_NE(figure.find("<text x=\"0.5\" y=\"-0.25\">3</text>"), std::string::npos);
  EXPECT_NE(figure.find(sure), std::string::npos);
  EXPECT_NE(figure.find("id=\"show-places\" checked"), std::string::npos);
}

TEST(MapFigure, SaysThatNothingIsSureInAMapThatIsNotToBeUsed) {
  const Map map = sample_map();
  EXPECT_NE(map_figure(map, FrameSetBy::walls, Grade::good, {}).find("up to 10 mm</span>"), std::string::npos);
  const std::string figure = map_figure(map, FrameSetBy::walls, Grade::unusable, {});
  EXPECT_EQ(figure.find("up to 10 mm</span>"), std::string::npos);
  EXPECT_NE(figure.find("this map is not to be used"), std::string::npos);
}

// 100 m in cells of 5 cm: pictures of 2000, 1000 and 500 pixels, of which the last shows until the script chooses.
TEST(MapFigure, ALargeGridHasSmallerPicturesToo) {
  Map map;
  map.grid = {{0.05, 0, 0, 2000, 40}, std::vector<float>(80000, 0.0F)};
  const std::string figure = map_figure(map, FrameSetBy::walls, Grade::good, {});
  EXPECT_NE(figure.find("data-cells=\"2\" x=\"0\" y=\"-2\" width=\"100\" height=\"2\" preserveAspectRatio=\"none\" "
                        "style=\"image-rendering:pixelated;display:none\""),
            std::string::npos);
  EXPECT_NE(figure.find("data-cells=\"4\" x=\"0\" y=\"-2\" width=\"100\" height=\"2\" preserveAspectRatio=\"none\" "
                        "style=\"image-rendering:pixelated\""),
            std::string::npos);
  EXPECT_EQ(figure.find("data-cells=\"8\""), std::string::npos);
  EXPECT_EQ(map_figure(sample_map(), FrameSetBy::walls, Grade::good, {}).find("data-cells=\"2\""), std::string::npos);
}

TEST(MapFigure, EachDriveHasItsColourAndANumberedStart) {
  const std::string figure = map_figure(sample_map_of_two(), FrameSetBy::walls, Grade::good, {});
  EXPECT_NE(figure.find("<polyline class=\"path-2\""), std::string::npos);
  EXPECT_NE(figure.find("<circle class=\"start path-2\""), std::string::npos);
  EXPECT_NE(figure.find(">2</text>"), std::string::npos);
  EXPECT_NE(figure.find("key path-2"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
