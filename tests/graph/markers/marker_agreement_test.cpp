#include "graph/markers/marker_agreement.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// Nodes a metre apart along the x axis, tightly joined; markers a (at 1, 1), b (5, 1) and c (9, 2), each seen from
/// three nodes. The survey's frame is turned by a quarter and shifted.
struct Corridor {
  PoseGraph graph;
  Drive drive;
  std::vector<NodeSighting> sightings;
  Pose2 map_from_survey{3.0, -2.0, 1.5707963267948966};

  Corridor() {
    for (int i = 0; i <= 10; ++i) {
      Node node;
      node.pose = {static_cast<double>(i), 0.0, 0.0};
      graph.nodes.push_back(node);
      if (i == 0) continue;
      Edge edge;
      edge.from = static_cast<std::size_t>(i) - 1;
      edge.to = static_cast<std::size_t>(i);
      edge.relative = {1.0, 0.0, 0.0};
      edge.information = Eigen::Vector3d(1e6, 1e6, 1e6).asDiagonal();
      graph.edges.push_back(edge);
    }
    for (std::size_t node : {0u, 1u, 2u}) see("a", node, {1.0, 1.0});
    for (std::size_t node : {4u, 5u, 6u}) see("b", node, {5.0, 1.0});
    for (std::size_t node : {8u, 9u, 10u}) see("c", node, {9.0, 2.0});
  }

  void see(const std::string& marker, std::size_t node, const Eigen::Vector2d& at) {
    const Eigen::Vector2d seen = inverse(graph.nodes[node].pose) * at;
    drive.markers.push_back({static_cast<double>(drive.markers.size()), marker, seen.x(), seen.y(), std::nullopt});
  }
  void survey(const std::string& marker, const Eigen::Vector2d& at) {
    const Eigen::Vector2d place = inverse(map_from_survey) * at;
    drive.marker_map.push_back({marker, place.x(), place.y(), std::nullopt});
  }
  MarkerEvidence found() {
    const std::vector<std::string> names = marker_names(drive);
    for (std::size_t i = 0; i < drive.markers.size(); ++i) {
      NodeSighting s;
      s.sighting = i;
      s.marker =
          static_cast<std::size_t>(std::find(names.begin(), names.end(), drive.markers[i].marker) - names.begin());
      // Nodes stand at whole metres: the one that the sighting was made from.
      s.node = node_of(i);
      s.at_m = {drive.markers[i].x_m, drive.markers[i].y_m};
      s.sd_m = 0.02;
      s.sd_rad = 0.03;
      sightings.push_back(s);
    }
    return agreeing_markers(drive, sightings, graph);
  }
  std::vector<std::size_t> extra_nodes;
  std::size_t node_of(std::size_t i) const {
    const std::vector<std::size_t> nodes{0, 1, 2, 4, 5, 6, 8, 9, 10};
    return i < nodes.size() ? nodes[i] : extra_nodes[i - nodes.size()];
  }
};

TEST(MarkerAgreement, AllThatMeetIsBelieved) {
  Corridor corridor;
  const MarkerEvidence evidence = corridor.found();
  EXPECT_EQ(evidence.sightings.size(), 9u);
  EXPECT_TRUE(evidence.left_out.empty());
  EXPECT_FALSE(evidence.map_from_survey);
  EXPECT_TRUE(evidence.warnings.empty());
}

TEST(MarkerAgreement, AMisreadNumberIsLeftOutWithItsReason) {
  Corridor corridor;
  corridor.see("a", 5, {5.0, 1.0});  // really b
  corridor.extra_nodes = {5};
  const MarkerEvidence evidence = corridor.found();
  EXPECT_EQ(evidence.sightings.size(), 9u);
  ASSERT_EQ(evidence.left_out.size(), 1u);
  EXPECT_EQ(evidence.left_out[0].marker, "a");
  EXPECT_EQ(evidence.left_out[0].sighting, 9u);
  EXPECT_NE(evidence.left_out[0].reason.find("4.00 m from where 3 other sightings"), std::string::npos)
      << evidence.left_out[0].reason;
}

TEST(MarkerAgreement, MoreMarkersThanCanBeAdjustedAreLeftOut) {
  Corridor corridor;
  corridor.found();
  MarkerAgreementOptions two;
  two.most_markers = 2;
  const MarkerEvidence evidence = agreeing_markers(corridor.drive, corridor.sightings, corridor.graph, two);
  EXPECT_EQ(evidence.names.size(), 2u);
  EXPECT_EQ(evidence.sightings.size(), 6u);
  ASSERT_EQ(evidence.left_out.size(), 3u);
  EXPECT_EQ(evidence.left_out[0].marker, "c");
}

TEST(MarkerAgreement, OfTwoSightingsThatDisagreeNeitherIsBelieved) {
  Corridor corridor;
  corridor.see("d", 3, {3.0, 1.0});
  corridor.see("d", 7, {7.0, 1.0});
  corridor.extra_nodes = {3, 7};
  const MarkerEvidence evidence = corridor.found();
  EXPECT_EQ(evidence.sightings.size(), 9u);
  EXPECT_EQ(evidence.left_out.size(), 2u);
}

TEST(MarkerAgreement, TheSurveyGivesTheFrame) {
  Corridor corridor;
  corridor.survey("a", {1.0, 1.0});
  corridor.survey("b", {5.0, 1.0});
  corridor.survey("c", {9.0, 2.0});
  corridor.survey("never seen", {2.0, 2.0});
  const MarkerEvidence evidence = corridor.found();
  ASSERT_TRUE(evidence.map_from_survey);
  EXPECT_NEAR(evidence.map_from_survey->x_m, 3.0, 1e-6);
  EXPECT_NEAR(evidence.map_from_survey->y_m, -2.0, 1e-6);
  EXPECT_NEAR(evidence.map_from_survey->heading_rad, 1.5707963267948966, 1e-6);
  EXPECT_TRUE(evidence.surveyed[0] && evidence.surveyed[1] && evidence.surveyed[2]);
}

TEST(MarkerAgreement, ASlipInTheSurveyIsLeftOut) {
  Corridor corridor;
  corridor.survey("a", {1.0, 1.0});
  corridor.survey("b", {5.0, 1.9});  // 0.9 m too far
  corridor.survey("c", {9.0, 2.0});
  corridor.see("d", 3, {3.0, 1.0});
  corridor.extra_nodes = {3};
  corridor.survey("d", {3.0, 1.0});
  const MarkerEvidence evidence = corridor.found();
  ASSERT_TRUE(evidence.map_from_survey);
  EXPECT_FALSE(evidence.surveyed[1]);
  EXPECT_TRUE(evidence.surveyed[0] && evidence.surveyed[2] && evidence.surveyed[3]);
  ASSERT_EQ(evidence.warnings.size(), 1u);
  EXPECT_NE(evidence.warnings[0].find("marker b was seen 0.90 m"), std::string::npos) << evidence.warnings[0];
}

TEST(MarkerAgreement, ASurveyedMarkerSeenOnceElsewhereWasMisread) {
  Corridor corridor;
  for (const char* name : {"a", "b", "c"}) {
    corridor.survey(name, name[0] == 'a'   ? Eigen::Vector2d(1.0, 1.0)
                          : name[0] == 'b' ? Eigen::Vector2d(5.0, 1.0)
                                           : Eigen::Vector2d(9.0, 2.0));
  }
  corridor.see("d", 3, {3.0, 1.0});
  corridor.extra_nodes = {3};
  corridor.survey("d", {7.0, 1.0});
  const MarkerEvidence evidence = corridor.found();
  EXPECT_TRUE(evidence.warnings.empty());
  EXPECT_EQ(evidence.sightings.size(), 9u);
  ASSERT_EQ(evidence.left_out.size(), 1u);
  EXPECT_NE(evidence.left_out[0].reason.find("4.00 m from where marker_map.csv has it"), std::string::npos);
}

TEST(MarkerAgreement, OneSurveyedMarkerWithoutHeadingIsNoFrame) {
  Corridor corridor;
  corridor.survey("a", {1.0, 1.0});
  MarkerEvidence evidence = corridor.found();
  EXPECT_FALSE(evidence.map_from_survey);
  ASSERT_EQ(evidence.warnings.size(), 1u);
  EXPECT_NE(evidence.warnings[0].find("does not define the map's frame"), std::string::npos);
  // With headings it is.
  corridor.drive.marker_map[0].heading_rad = 0.25;
  for (std::size_t i = 0; i < 3; ++i) corridor.sightings[i].heading_rad = 0.25 + 1.5707963267948966;
  evidence = agreeing_markers(corridor.drive, corridor.sightings, corridor.graph);
  ASSERT_TRUE(evidence.map_from_survey);
  EXPECT_NEAR(evidence.map_from_survey->x_m, 3.0, 1e-6);
  EXPECT_NEAR(evidence.map_from_survey->heading_rad, 1.5707963267948966, 1e-6);
}

}  // namespace
}  // namespace wainscot
