#include "graph/mapping/map_warnings.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// A good map of four nodes, a second and a metre apart, by odometry that agrees.
struct GoodMap {
  Drive drive;
  Map map;
  std::vector<OdometryStep> steps;
  std::vector<std::size_t> jumps;
  std::vector<DrivePart> parts;

  GoodMap() {
    map.quality.matched_fraction = 0.95;
    for (std::size_t i = 0; i < 4; ++i) {
      const auto at = static_cast<double>(i);
      Node node;
      node.scan = i;
      node.time_s = at;
      node.pose.x_m = at;
      map.graph.nodes.push_back(node);
      if (i == 0) continue;
      map.graph.edges.push_back({EdgeKind::match, i - 1, i, {1.0, 0.0, 0.0}, {}});
      OdometryStep step;
      step.begin_s = at - 1.0;
      step.end_s = at;
      step.motion = {1.0, 0.0, 0.0};
      steps.push_back(step);
    }
  }

  std::vector<std::string> warnings() const { return map_warnings(drive, OdometryPath(steps, {}), jumps, parts, map); }
  std::string only() const {
    const std::vector<std::string> all = warnings();
    EXPECT_EQ(all.size(), 1U);
    return all.empty() ? "" : all.front();
  }
};

bool has(const std::string& text, const char* part) { return text.find(part) != std::string::npos; }

TEST(MapWarnings, AGoodMapHasTheDrivesOwnOnly) {
  GoodMap good;
  EXPECT_TRUE(good.warnings().empty());
  good.drive.warnings = {"three rows were dropped"};
  EXPECT_EQ(good.warnings(), good.drive.warnings);
}

TEST(MapWarnings, AConstantFarFromWhatWasStated) {
  GoodMap good;
  good.map.constants = {{"lidar.x_m", "m", 0.1, 0.01, 0.13, 0.001, true}};
  EXPECT_TRUE(good.warnings().empty());  // three standard uncertainties
  good.map.constants[0].found = 0.16;
  EXPECT_TRUE(has(good.only(), "lidar.x_m was found to be 0.16 m, 6 standard uncertainties")) << good.only();
  EXPECT_TRUE(has(good.only(), "correct the file"));
  good.map.constants[0].name = "slip in turns";
  EXPECT_TRUE(has(good.only(), "leave it"));
  good.map.constants[0].name = "gyro.bias_rad_s";  // differs from day to day
  EXPECT_TRUE(good.warnings().empty());
}

TEST(MapWarnings, NodesThatFitNoWall) {
  GoodMap good;
  good.map.graph.edges[1].kind = EdgeKind::odometry;
  EXPECT_TRUE(has(good.only(), "1 of 4 nodes fit no wall"));
  good.parts = {{"one", 0, -1.0, 0.0, false}, {"two", 2, 1.5, 0.0, false}};  // where another drive begins nothing can
  EXPECT_TRUE(good.warnings().empty());
}

TEST(MapWarnings, PoorQuality) {
  GoodMap good;
  good.map.quality.matched_fraction = 0.4;
  EXPECT_TRUE(has(good.only(), "only 40 % of the returns")) << good.only();
  EXPECT_TRUE(has(good.only(), "something in robot.yaml or in the log is wrong"));
  good.map.quality.matched_fraction = 0.8;
  EXPECT_TRUE(has(good.only(), "only 80 % of the returns"));
  good.map.quality.matched_fraction = 0.95;
  good.map.quality.way_left_open_m = 12.0;
  EXPECT_TRUE(has(good.only(), "along 12 m of the way"));
  good.map.quality.way_left_open_m = 0.0;
  good.map.quality.place_sd_worst_m = 0.2;
  EXPECT_TRUE(has(good.only(), "known to 0.20 m only"));
  good.map.quality.position_sd_worst_m = 50.0;
  EXPECT_TRUE(has(good.only(), "not joined to the rest"));
  good.map.quality.place_sd_worst_m = good.map.quality.position_sd_worst_m = 0.0;
  good.map.quality.scans_outside_odometry = 3;
  EXPECT_TRUE(has(good.only(), "3 scans lie outside"));
}

TEST(MapWarnings, NodesThatOdometryAloneTiesToTheRest) {
  GoodMap good;
  good.map.graph.nodes.resize(40, good.map.graph.nodes.back());
  good.map.troubles.unjoined = {2, 3};
  EXPECT_TRUE(has(good.only(), "2 of 40 nodes are tied to the rest by odometry alone")) << good.only();
  EXPECT_TRUE(has(good.only(), "is said of the others: drive there again"));
  good.map.troubles.unjoined.push_back(4);
  EXPECT_FALSE(has(good.only(), "of the others"));
}

TEST(MapWarnings, WhereOdometryWentWrong) {
  GoodMap good;
  good.map.graph.nodes[2].pose.x_m = 1.6;  // it says 1 m, the scans 0.6 m
  good.jumps = {2};
  EXPECT_TRUE(has(good.only(), "between 1.0 and 2.0 s odometry went wrong by 0.40 m")) << good.only();
  good.parts = {{"noon", 0, -1.0, 0.5, false}};
  EXPECT_TRUE(has(good.only(), "noon: between 0.5 and 1.5 s")) << good.only();
  good.parts.clear();
  good.jumps = {1, 2, 3, 1, 2, 3, 1};
  const std::vector<std::string> many = good.warnings();
  ASSERT_EQ(many.size(), 6U);
  EXPECT_TRUE(has(many.back(), "so it did 2 times more"));
}

TEST(MapWarnings, SlidesThatNoLoopSpans) {
  GoodMap good;
  good.map.troubles.unconfirmed = {2};
  EXPECT_TRUE(has(good.only(), "1 step where the robot slid or was lifted is spanned by no loop")) << good.only();
  good.map.troubles.unconfirmed = {1, 2};
  EXPECT_TRUE(has(good.only(), "2 steps where the robot slid or was lifted are spanned by no loop")) << good.only();
}

TEST(MapWarnings, SightingsThatWereLeftOut) {
  GoodMap good;
  good.map.markers.left_out = {{0, 1.5, "7", "it lies elsewhere"}};
  EXPECT_EQ(good.only(), "1 row of markers.csv was left out, at 1.5 s (marker 7: it lies elsewhere)");
  good.map.markers.left_out.push_back(good.map.markers.left_out.front());
  EXPECT_TRUE(has(good.only(), "2 rows of markers.csv were left out, the first at 1.5 s")) << good.only();
  good.map.markers.left_out.clear();
  good.map.lines.left_out = {{0, 1.5, 4.0, "hall", "it lies elsewhere"}};
  EXPECT_EQ(good.only(), "1 row of followed.csv was left out, from 1.5 s on (line hall: it lies elsewhere)");
}

TEST(MapWarnings, AMeasuredLineThatLiesElsewhere) {
  GoodMap good;
  MappedLine line;
  line.name = "hall";
  line.measured = true;
  line.survey_difference_m = 0.02;
  line.own_sd_m = 0.006;
  good.map.lines.lines = {line};
  EXPECT_TRUE(good.warnings().empty());
  good.map.lines.lines[0].survey_difference_m = 0.06;
  EXPECT_TRUE(has(good.only(), "line hall lies 0.060 m from where line_map.csv has it")) << good.only();
  good.map.lines.lines[0].measured = false;
  EXPECT_TRUE(good.warnings().empty());
}

}  // namespace
}  // namespace wainscot
