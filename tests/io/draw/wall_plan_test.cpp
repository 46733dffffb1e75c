#include "io/draw/wall_plan.hpp"

#include <string>

#include <gtest/gtest.h>

#include "tests/io/sample_plan.hpp"

namespace wainscot {
namespace {

TEST(WallPlan, SvgHasNamedLayersInMetres) {
  const std::string svg = wall_plan_svg(sample_plan());
  EXPECT_NE(svg.find("<g id=\"walls\" transform=\"scale(1 -1)\">\n<path class=\"wall\" d=\"M0 0L3 0\"/>\n"
                     "<path class=\"wall\" d=\"M3 0L3 1.2346\"/>\n</g>"),
            std::string::npos)
      << svg;
  EXPECT_NE(svg.find("<path class=\"path\" d=\"M1 0.5L2 0.75\"/>"), std::string::npos);
  EXPECT_NE(svg.find("<path class=\"floor\" d=\"M1 0.5L1.5 0.5L1.5 1L1 1z\"/>"), std::string::npos);
  for (const char* layer : {"floor", "axes", "notes"}) {
    EXPECT_NE(svg.find(std::string("<g id=\"") + layer + "\""), std::string::npos) << layer;
  }
  // Half a metre round it, and 1.2 m below for the notes: 3.4346 m high, 20 mm a metre, and never less than 7 m wide.
  EXPECT_NE(svg.find("viewBox=\"-0.5 -1.7346 7 3.4346\" width=\"140mm\" height=\"68.6912mm\""), std::string::npos);
}

TEST(WallPlan, WallsWithoutALineAreDrawnAsCellsBelowTheLines) {
  WallPlan plan = sample_plan();
  plan.lineless.marked = plan.floor.marked;
  const std::string svg = wall_plan_svg(plan);
  EXPECT_NE(svg.find("<g id=\"walls\" transform=\"scale(1 -1)\">\n"
                     "<path class=\"lineless\" d=\"M1 0.5L1.5 0.5L1.5 1L1 1z\"/>\n<path class=\"wall\""),
            std::string::npos)
      << svg;
}

TEST(WallPlan, SvgEscapesNamesAndSaysWhatItIs) {
  const std::string svg = wall_plan_svg(sample_plan());
  EXPECT_EQ(svg.find("<b>"), std::string::npos);
  EXPECT_NE(svg.find("A 2D lidar sees one plane only"), std::string::npos);
  EXPECT_NE(svg.find("Simulated. Scale 1:50"), std::string::npos);
}

TEST(WallPlan, SvgOfNothingIsAnEmptyPlan) {
  const std::string svg = wall_plan_svg({});
  EXPECT_NE(svg.find("<g id=\"walls\" transform=\"scale(1 -1)\">\n</g>"), std::string::npos);
  EXPECT_NE(svg.find("</svg>"), std::string::npos);
}

TEST(WallPlan, SvgHasTheRoomsThatHaveNames) {
  WallPlan plan = sample_plan();
  const std::string without = wall_plan_svg(plan);
  EXPECT_EQ(without.find("rooms"), std::string::npos);
  plan.rooms = {{"A & B", {1.5, 0.5}, {{0.0, 0.0}, {3.0, 0.0}, {3.0, 1.0}}}};
  const std::string svg = wall_plan_svg(plan);
  EXPECT_NE(svg.find("<g id=\"rooms\">\n<path class=\"room\" d=\"M0 0L3 0L3 -1z\"/>\n"
                     "<text class=\"name\" x=\"1.5\" y=\"-0.5\">A &amp; B</text>\n</g>"),
            std::string::npos)
      << svg;
}

TEST(WallPlan, CsvHasARowAWall) {
  const std::string csv = wall_plan_csv(sample_plan());
  EXPECT_EQ(csv.rfind("# Simulated. A 2D lidar", 0), 0u);
  EXPECT_NE(csv.find("\nwall,x1_m,y1_m,x2_m,y2_m,length_m,normal_rad,sd_m,pieces,returns\n"
                     "1,0,0,3,0,3,1.5708,0.0021,12,700\n"
                     "2,3,0,3,1.2346,1.2346,3.14159,0.003,5,90\n"),
            std::string::npos)
      << csv;
}

TEST(WallPlan, PathsAreThinned) {
  EXPECT_TRUE(thinned_path({}).empty());
  const auto places = thinned_path({{0, 0, 0}, {0.01, 0, 0}, {0.015, 0, 1}});
  ASSERT_EQ(places.size(), 2u);
  EXPECT_EQ(places.back().x(), 0.015);
}

}  // namespace
}  // namespace wainscot
