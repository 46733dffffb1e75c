#include "graph/known/whole_drive.hpp"

#include <algorithm>
#include <utility>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/graph/known_scene.hpp"

namespace wainscot {
namespace {

/// A drive that sees the scene from each of the poses, ten times a second. `by_wheels`: what its odometry says of them.
Drive recorded_drive(const Scene& scene, const std::vector<Pose2>& poses, const std::vector<Pose2>& by_wheels) {
  Drive drive;
  drive.robot.lidar = still_lidar();
  drive.odometry.push_back({-0.1, by_wheels.front()});
  for (std::size_t i = 0; i < poses.size(); ++i) {
    const double time_s = 0.1 * static_cast<double>(i);
    drive.odometry.push_back({time_s, by_wheels[i]});
    drive.scans.push_back(scan_at(scene, poses[i], time_s));
  }
  drive.odometry.push_back({drive.odometry.back().time_s + 0.1, by_wheels.back()});
  return drive;
}

std::vector<LocatedScan> located_whole(const KnownMap& map, const Drive& drive) {
  return locate_whole_drive(map, drive, lidar_model(drive.robot.lidar));
}

std::vector<Pose2> bent_way(const Pose2& room = {}) {
  std::vector<Pose2> poses;
  for (int i = 0; i < 20; ++i) poses.push_back(room * Pose2{-1.2 + 0.1 * i, -0.9 + 0.02 * i, 0.03 * i});
  return poses;
}

Scene and_box(Scene scene, double x_m, double y_m, double side_m) {
  const double h = 0.5 * side_m;
  return both(std::move(scene),
              closed_walls({{x_m - h, y_m - h}, {x_m + h, y_m - h}, {x_m + h, y_m + h}, {x_m - h, y_m + h}}));
}

TEST(WholeDrive, ScansBeforeTheFirstSurePlaceAreFoundFromLaterOnes) {
  const Scene before = and_box(and_box(crooked_room(), 1.9, -1.5, 0.5), -1.9, 0.4, 0.5);
  const Scene after = and_box(and_box(crooked_room(), 1.6, -0.4, 0.9), -0.3, 1.2, 0.7);
  const KnownMap map = known_scene(before, poses_in_crooked_room());
  const Drive drive = recorded_drive(after, bent_way(), bent_way());
  const std::vector<LocatedScan> driving = locate_drive(map, drive, lidar_model(drive.robot.lidar));
  EXPECT_NE(driving.front().location.answer, Answer::found) << "more contradicts the map than one view may";
  const std::vector<LocatedScan> whole = located_whole(map, drive);
  ASSERT_EQ(whole.size(), drive.scans.size());
  for (std::size_t i = 0; i < whole.size(); ++i) {
    EXPECT_EQ(whole[i].scan, i);
    EXPECT_NEAR(whole[i].time_s, 0.1 * static_cast<double>(i), 1e-9);
    ASSERT_EQ(whole[i].location.answer, Answer::found) << i;
    EXPECT_LT(apart_m(whole[i].location.places.front().pose, bent_way()[i]), 0.03) << i;
  }
}

TEST(WholeDrive, ARobotThatWasCarriedIsNotFollowedThroughTheAir) {
  const Pose2 other{12.0, 1.0, 0.5};
  const Scene hall =
      moved(closed_walls({{-3.0, -1.5}, {1.0, -1.5}, {1.0, -0.2}, {3.5, -0.2}, {3.5, 2.6}, {-3.0, 2.6}}), other);
  std::vector<Pose2> seen_from = poses_in_crooked_room();
  for (const Pose2& pose : poses_in_crooked_room(other)) seen_from.push_back(pose);
  const Scene house = both(crooked_room(), hall);
  const KnownMap map = known_scene(house, seen_from);
  std::vector<Pose2> poses = bent_way();
  std::vector<Pose2> by_wheels = bent_way();
  for (const Pose2& pose : bent_way(other)) {
    poses.push_back(pose);
    by_wheels.push_back(by_wheels[19] * between(poses[20], pose));  // the wheels do not know of the way between
  }
  const std::vector<LocatedScan> whole = located_whole(map, recorded_drive(house, poses, by_wheels));
  std::size_t found = 0;
  for (std::size_t i = 0; i < whole.size(); ++i) {
    if (whole[i].location.answer != Answer::found) continue;
    ++found;
    EXPECT_LT(apart_m(whole[i].location.places.front().pose, poses[i]), 0.05) << i;
  }
  EXPECT_EQ(whole.front().location.answer, Answer::found);
  EXPECT_EQ(whole.back().location.answer, Answer::found);
  EXPECT_GE(found, 20U);
}

TEST(WholeDrive, InAnotherHouseNothingIsFound) {
  const KnownMap map = known_scene(crooked_room(), poses_in_crooked_room());
  const Scene other = closed_walls({{-3.0, -1.5}, {1.0, -1.5}, {1.0, -0.2}, {3.5, -0.2}, {3.5, 2.6}, {-3.0, 2.6}});
  for (const LocatedScan& row : located_whole(map, recorded_drive(other, bent_way(), bent_way()))) {
    EXPECT_NE(row.location.answer, Answer::found);
  }
}

TEST(WholeDrive, ADriveWithoutOdometryIsRefused) {
  const KnownMap map = known_scene(crooked_room(), poses_in_crooked_room());
  EXPECT_THROW(locate_whole_drive(map, {}, {}), PoorData);
}

}  // namespace
}  // namespace wainscot
