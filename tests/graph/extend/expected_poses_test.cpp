// Simulated: a small home on two days.

#include "graph/extend/expected_poses.hpp"

#include <vector>

#include <gtest/gtest.h>

#include "tests/graph/two_days.hpp"

namespace wainscot {
namespace {

TEST(ExpectedPoses, AreThoseOfTheOldNodesAndOfTheNewMapLaidOnThem) {
  const DrivenHouse first = driven(first_day());
  const DrivenHouse second = driven(second_day());
  Map old = build_map(first.drive, two_threads());
  const std::vector<Drive> drives = {as_saved(first.drive, old), second.drive};
  const std::vector<Map> alone = {build_map(second.drive, two_threads())};
  const std::vector<DayConstants> days = {day_constants(old, drives[0], 1), day_constants(alone[0], drives[1], 1)};
  const JoinedDrives joined = join_drives(drives, days, 1);
  const std::vector<Pose2> expected = expected_poses(joined, old, drives, alone);
  ASSERT_EQ(expected.size(), joined.drive.scans.size());
  const std::size_t later = joined.parts[1].first_scan;
  for (std::size_t i = 0; i < later; ++i) {
    const Node& node = old.graph.nodes[joined.own_scan[i]];
    ASSERT_LT((expected[i].translation() - node.pose.translation()).norm(), 1e-12) << i;
  }
  std::vector<TimedPose> path;
  for (std::size_t i = 0; i < expected.size(); ++i) {
    const double shift_s = joined.parts[i < later ? 0 : 1].shift_s;
    path.push_back({joined.drive.scans[i].time_s - shift_s, expected[i]});
  }
  const std::vector<TimedPose> of_first(path.begin(), path.begin() + static_cast<std::ptrdiff_t>(later));
  const Pose2 alignment = absolute_trajectory_error(of_first, first.truth.trajectory).alignment;
  for (std::size_t i = later; i < path.size(); ++i) {
    const Pose2 error = between(second.true_pose(path[i].time_s), alignment * path[i].pose);
    ASSERT_LT(error.translation().norm(), 0.06) << path[i].time_s;
  }
}

}  // namespace
}  // namespace wainscot
