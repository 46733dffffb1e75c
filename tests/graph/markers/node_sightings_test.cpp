#include "graph/markers/node_sightings.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// Straight ahead at 0.2 m/s for ten seconds.
std::vector<OdometryStep> straight() {
  std::vector<OdometryStep> steps;
  for (int i = 0; i < 100; ++i) {
    OdometryStep step;
    step.begin_s = 0.1 * i;
    step.end_s = 0.1 * (i + 1);
    step.motion = {0.02, 0.0, 0.0};
    steps.push_back(step);
  }
  return steps;
}

Drive seen(double time_s) {
  Drive drive;
  drive.markers.push_back({time_s, "b", 1.0, 0.5, 0.25});
  drive.markers.push_back({time_s, "a", 2.0, 0.0, std::nullopt});
  return drive;
}

const std::vector<double> kTimes{0.0, 2.0, 4.0};
const std::vector<Pose2> kPoses{{0.0, 0.0, 0.0}, {0.4, 0.0, 0.0}, {0.8, 0.0, 0.0}};

TEST(NodeSightings, AreCarriedToTheNearestNode) {
  const std::vector<NodeSighting> found = sightings_at_nodes(seen(2.5), straight(), kTimes, kPoses);
  ASSERT_EQ(found.size(), 2u);
  EXPECT_EQ(found[0].node, 1u);
  EXPECT_EQ(found[0].marker, 1u);  // "a" comes before "b"
  EXPECT_NEAR(found[0].at_m.x(), 1.1, 1e-9);
  EXPECT_NEAR(found[0].at_m.y(), 0.5, 1e-9);
  EXPECT_NEAR(*found[0].heading_rad, 0.25, 1e-9);
  EXPECT_FALSE(found[1].heading_rad);
  EXPECT_GT(found[1].sd_m, found[0].sd_m);  // it was further away
}

TEST(NodeSightings, TheWayBetweenNodesIsBentToMeetBoth) {
  const OdometryPath path(straight(), {});
  std::vector<Pose2> poses = kPoses;
  poses[2] = {0.84, 0.0, 0.0};  // the graph knows that the robot went 10 % further
  const Pose2 half_way = robot_from_node(path, kTimes, poses, 1, 3.0);
  EXPECT_NEAR(half_way.x_m, 0.22, 1e-9);
  const Pose2 back = robot_from_node(path, kTimes, poses, 2, 3.0);
  EXPECT_NEAR((poses[2] * back).x_m, (poses[1] * half_way).x_m, 1e-9);
  poses[2] = {5.0, 0.0, 0.0};  // carried: odometry's word is kept
  EXPECT_NEAR(robot_from_node(path, kTimes, poses, 1, 3.0).x_m, 0.2, 1e-9);
}

TEST(NodeSightings, ThoseOverAJumpOrFarFromEveryNodeAreLeftOut) {
  std::vector<OdometryStep> steps = straight();
  steps[24].unknown = true;  // 2.4 to 2.5 s
  EXPECT_TRUE(sightings_at_nodes(seen(2.6), steps, kTimes, kPoses).empty());
  EXPECT_EQ(sightings_at_nodes(seen(2.3), steps, kTimes, kPoses).size(), 2u);
  EXPECT_TRUE(sightings_at_nodes(seen(11.0), straight(), kTimes, kPoses).empty());
}

}  // namespace
}  // namespace wainscot
