#include "io/draw/plan_svg.hpp"

#include <limits>
#include <string>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// 4 m by 2 m of free floor in cells of 0.5 m, one wall cell in the upper right corner.
OccupancyGrid small_grid() {
  OccupancyGrid grid{{0.5, 0, 0, 8, 4}, std::vector<float>(32, 0.0F)};
  grid.probability[31] = 1.0F;
  grid.probability[0] = std::numeric_limits<float>::quiet_NaN();
  return grid;
}

TEST(PlanSvg, PartsWallsFromFloorAndLeavesOutTheUnseen) {
  const std::vector<PlanArea> areas = plan_areas(small_grid());
  ASSERT_EQ(areas.size(), 2u);
  EXPECT_EQ(areas[0].classes, "floor");
  EXPECT_FALSE(areas[0].marked[0]);
  EXPECT_TRUE(areas[0].marked[1]);
  EXPECT_TRUE(areas[1].marked[31]);
  EXPECT_FALSE(areas[0].marked[31]);
}

// With a margin of half a metre the picture is 5 m wide: 100 pixels a metre, y upwards.
TEST(PlanSvg, WallsAndPathsStandWhereTheyAre) {
  PlanDrawing drawing;
  drawing.areas = plan_areas(small_grid());
  drawing.paths = {{"path found", "path", {{1.0, 0.5, 0.0}, {2.0, 1.5, 0.0}}}};
  drawing.width_px = 500.0;
  const std::string svg = plan_svg(drawing, SvgUse::file);
  EXPECT_NE(svg.find("<path class=\"wall\" d=\"M400 100L450 100L450 50L400 50z\"/>"), std::string::npos) << svg;
  EXPECT_NE(svg.find("points=\"150,200 250,100\""), std::string::npos) << svg;
  // The scale bar of 1 m is 100 pixels long, and the axes have their names.
  EXPECT_NE(svg.find("h100\"/>\n<text"), std::string::npos);
  EXPECT_NE(svg.find(">1 m</text>"), std::string::npos);
  EXPECT_NE(svg.find(">x, metres</text>"), std::string::npos);
  EXPECT_NE(svg.find("y, metres (map frame)"), std::string::npos);
}

TEST(PlanSvg, CoordinatesStandBesideTheEdges) {
  PlanDrawing drawing;
  drawing.areas = plan_areas(small_grid());
  drawing.width_px = 500.0;  // of 5 m, from x = -0.5 m and y = -0.5 m
  const std::string svg = plan_svg(drawing, SvgUse::file);
  EXPECT_NE(svg.find("d=\"M106 300v6M206 300v6M306 300v6"), std::string::npos) << svg;
  EXPECT_NE(svg.find("M56 250h-6M56 150h-6M56 50h-6\""), std::string::npos) << svg;
  EXPECT_NE(svg.find("<text x=\"306\" y=\"321\" class=\"middle\">2</text>"), std::string::npos) << svg;
}

TEST(PlanSvg, SeveralDrivesHaveNumberedStartsAndOneLegend) {
  PlanDrawing drawing;
  drawing.areas = plan_areas(small_grid());
  drawing.paths = {{"paths found", "path", {{1.0, 0.5, 0.0}, {2.0, 1.5, 0.0}}},
                   {"", "path-2", {{2.0, 0.5, 0.0}, {3.0, 0.5, 0.0}}},
                   {"odometry alone", "odometry", {{1.0, 0.5, 0.0}, {2.0, 1.0, 0.0}}}};
  drawing.width_px = 500.0;
  EXPECT_EQ(plan_svg(drawing, SvgUse::file).find("starts of the drives"), std::string::npos);
  drawing.drives = 2;
  const std::string svg = plan_svg(drawing, SvgUse::file);
  EXPECT_NE(svg.find("cx=\"150\" cy=\"200\" r=\"6\"/>\n<text x=\"158\" y=\"195\" class=\"halo\">1</text>"),
            std::string::npos)
      << svg;
  EXPECT_NE(svg.find("cx=\"250\" cy=\"200\" r=\"6\"/>\n<text x=\"258\" y=\"195\" class=\"halo\">2</text>"),
            std::string::npos)
      << svg;
  EXPECT_NE(svg.find("starts of the drives"), std::string::npos);
}

// The map is 4 m wide: odometry may leave it by as much, and what goes on is cut off and said.
TEST(PlanSvg, OdometryBesideTheMapIsShown) {
  PlanDrawing drawing;
  drawing.areas = plan_areas(small_grid());
  drawing.paths = {{"path found", "path", {{1.0, 0.5, 0.0}, {2.0, 1.5, 0.0}}},
                   {"odometry alone", "odometry", {{1.0, 0.5, 0.0}, {1.0, 5.0, 0.0}}}};
  drawing.width_px = 500.0;
  std::string svg = plan_svg(drawing, SvgUse::file);
  EXPECT_NE(svg.find("<polyline class=\"line odometry\" points=\"150,500 150,50\"/>"), std::string::npos) << svg;
  EXPECT_EQ(svg.find("leaves the picture"), std::string::npos);
  drawing.paths[1].poses.push_back({1.0, 50.0, 0.0});
  svg = plan_svg(drawing, SvgUse::file);
  EXPECT_NE(svg.find(">a path leaves the picture</text>"), std::string::npos);
}

TEST(PlanSvg, SaysThatItIsSimulatedAndEscapesNames) {
  PlanDrawing drawing;
  drawing.title = "Plan of <img src=x onerror=alert(1)>";
  drawing.paths = {{"\"><script>", "path", {}}};
  EXPECT_EQ(plan_svg(drawing, SvgUse::file).find(">(simulated drive)<"), std::string::npos);
  drawing.simulated = true;
  const std::string svg = plan_svg(drawing, SvgUse::file);
  EXPECT_NE(svg.find(">(simulated drive)<"), std::string::npos);
  EXPECT_EQ(svg.find("<img"), std::string::npos);
  EXPECT_EQ(svg.find("<script"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
