#include "graph/markers/marker_closures.hpp"

#include <cmath>

#include <gtest/gtest.h>
#include <Eigen/Dense>

namespace wainscot {
namespace {

NodeSighting sighting(std::size_t marker, std::size_t node, const Pose2& node_pose, const Pose2& marker_pose,
                      bool heading) {
  NodeSighting s;
  s.marker = marker;
  s.node = node;
  s.at_m = inverse(node_pose) * marker_pose.translation();
  if (heading) s.heading_rad = wrap_angle(marker_pose.heading_rad - node_pose.heading_rad);
  s.sd_m = 0.02;
  s.sd_rad = 0.03;
  return s;
}

const Pose2 kMarker{2.0, 1.0, 0.7};
const Pose2 kEarlier{1.0, 0.5, 0.3};
const Pose2 kLater{2.5, 0.2, 2.1};

Eigen::Matrix3d drift(double sd_m, double sd_rad) {
  return Eigen::Vector3d(sd_m * sd_m, sd_m * sd_m, sd_rad * sd_rad).asDiagonal();
}

TEST(MarkerClosures, HeadingsTellTheWholePose) {
  const NodeSighting a = sighting(0, 0, kEarlier, kMarker, true);
  const NodeSighting b = sighting(0, 1, kLater, kMarker, true);
  const Pose2 truth = between(kEarlier, kLater);
  // Nothing is known beforehand: two metres and a radian off.
  const auto word = word_of_marker(a, b, truth * Pose2{2.0, -1.0, 1.0}, drift(100.0, 3.14));
  ASSERT_TRUE(word);
  EXPECT_EQ(word->degrees, 3);
  EXPECT_LT((word->pose.translation() - truth.translation()).norm(), 0.01);
  EXPECT_NEAR(wrap_angle(word->pose.heading_rad - truth.heading_rad), 0.0, 0.001);
  EXPECT_LT(word->chi_squared, 1.0);
}

TEST(MarkerClosures, WithoutHeadingsTheMarkersPlaceIsMetAndTheTurnIsThePredictions) {
  const NodeSighting a = sighting(0, 0, kEarlier, kMarker, false);
  const NodeSighting b = sighting(0, 1, kLater, kMarker, false);
  const Pose2 truth = between(kEarlier, kLater);
  const auto word = word_of_marker(a, b, truth * Pose2{0.2, -0.15, 0.0}, drift(0.3, 0.001));
  ASSERT_TRUE(word);
  EXPECT_EQ(word->degrees, 2);
  EXPECT_LT((word->pose.translation() - truth.translation()).norm(), 0.02);
  EXPECT_FALSE(word_of_marker(a, b, truth, drift(0.3, 0.5)));
  const MarkerWord turned = word_with_turn(a, b, wrap_angle(truth.heading_rad), 0.1);
  EXPECT_LT((turned.pose.translation() - truth.translation()).norm(), 1e-9);
  // The turn's uncertainty moves the later node about the marker, not the marker.
  const Eigen::Vector2d at = b.at_m;
  Eigen::Matrix<double, 2, 3> by_tangent;
  by_tangent << 1.0, 0.0, -at.y(), 0.0, 1.0, at.x();
  EXPECT_LT((by_tangent * turned.covariance * by_tangent.transpose()).trace(), 0.01);
}

TEST(MarkerClosures, AMisreadNumberLiesBeyondTheDrift) {
  const NodeSighting a = sighting(0, 0, kEarlier, kMarker, true);
  const NodeSighting b = sighting(0, 1, kLater, Pose2{2.0, 2.2, 0.7}, true);  // another marker, 1.2 m away
  const auto word = word_of_marker(a, b, between(kEarlier, kLater), drift(0.1, 0.05));
  ASSERT_TRUE(word);
  EXPECT_GT(word->chi_squared, 16.266);  // NIST/SEMATECH table 1.3.6.7.4: 99.9 %, 3 degrees of freedom
}

TEST(MarkerClosures, PairsJoinVisitsByTheirNearestSightings) {
  std::vector<NodeSighting> sightings;
  const auto add = [&](std::size_t marker, std::size_t node, double distance_m) {
    NodeSighting s;
    s.marker = marker;
    s.node = node;
    s.at_m = {distance_m, 0.0};
    sightings.push_back(s);
  };
  const std::vector<double> ways{0.0, 0.3, 0.6, 10.0, 10.3, 25.0};
  add(0, 0, 1.5);
  add(0, 1, 1.0);
  add(0, 2, 1.2);
  add(1, 2, 0.5);  // seen once only
  add(0, 3, 1.4);
  add(0, 4, 1.1);
  add(0, 5, 0.9);
  const std::vector<MarkerPair> pairs = marker_pairs(sightings, ways);
  ASSERT_EQ(pairs.size(), 3u);
  EXPECT_EQ(sightings[pairs[0].earlier].node, 1u);
  EXPECT_EQ(sightings[pairs[0].later].node, 4u);
  EXPECT_EQ(sightings[pairs[1].earlier].node, 4u);
  EXPECT_EQ(sightings[pairs[1].later].node, 5u);
  EXPECT_EQ(sightings[pairs[2].earlier].node, 1u);
  EXPECT_EQ(sightings[pairs[2].later].node, 5u);
}

}  // namespace
}  // namespace wainscot
