#include "graph/live/live_tracker.hpp"

#include <algorithm>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

#include "tests/graph/live/fed_drive.hpp"
#include "tests/graph/scene.hpp"
#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

std::vector<TrackedScan> tracked(const Drive& drive) {
  LiveTracker tracker(drive.robot, lidar_model(drive.robot.lidar));
  return taken_while_fed(drive, tracker, tracker.readings());
}

/// How far a scan lies from the truth, in the frame of the first.
double error_m(const DrivenHouse& house, const std::vector<TrackedScan>& path, std::size_t i) {
  const Pose2 start = house.true_pose(path.front().time_s);
  return apart_m(path[i].pose, between(start, house.true_pose(path[i].time_s)));
}

std::size_t count_of(const std::vector<TrackedScan>& path, TrackedBy by) {
  return static_cast<std::size_t>(
      std::count_if(path.begin(), path.end(), [by](const TrackedScan& scan) { return scan.by == by; }));
}

/// Counts as if nobody had told the wheels of what happened from one time to another.
Drive without_motion(Drive drive, double from_s, double to_s) {
  const auto at = [&drive](double time_s) {
    return *std::find_if(drive.wheels.begin(), drive.wheels.end(),
                         [time_s](const WheelCounts& row) { return row.time_s >= time_s; });
  };
  const WheelCounts from = at(from_s);
  const WheelCounts to = at(to_s);
  for (WheelCounts& row : drive.wheels) {
    if (row.time_s <= from.time_s) continue;
    const bool during = row.time_s < to.time_s;
    row.left_ticks = during ? from.left_ticks : row.left_ticks - to.left_ticks + from.left_ticks;
    row.right_ticks = during ? from.right_ticks : row.right_ticks - to.right_ticks + from.right_ticks;
  }
  return drive;
}

TEST(LiveTracker, FollowsTheRobotThroughFourRooms) {
  const DrivenHouse house = driven(ring_house(1));
  const std::vector<TrackedScan> path = tracked(house.drive);
  ASSERT_GT(path.size(), house.drive.scans.size() - 5);
  EXPECT_EQ(path.front().scan, 0U);
  EXPECT_EQ(path.front().time_s, house.drive.scans.front().time_s);
  double way_m = 0.0;
  for (std::size_t i = 0; i < path.size(); ++i) {
    // Some 20 m without a closed loop.
    ASSERT_LT(error_m(house, path, i), 0.1) << "scan " << i;
    if (i > 0) way_m += apart_m(path[i - 1].pose, path[i].pose);
  }
  EXPECT_GT(way_m, 15.0);
  EXPECT_GT(count_of(path, TrackedBy::walls), path.size() * 9 / 10);
  EXPECT_EQ(count_of(path, TrackedBy::new_surroundings), 0U);
}

TEST(LiveTracker, TellsTheSpeedAndWhatIsSeen) {
  const DrivenHouse house = driven(ring_house(1));
  const std::vector<TrackedScan> path = tracked(house.drive);
  const auto fastest = std::max_element(
      path.begin(), path.end(), [](const TrackedScan& a, const TrackedScan& b) { return a.speed.x() < b.speed.x(); });
  const Pose2 before = house.true_pose(fastest->time_s - 0.05);
  const Pose2 after = house.true_pose(fastest->time_s + 0.05);
  EXPECT_NEAR(fastest->speed.x(), apart_m(before, after) / 0.1, 0.05);
  EXPECT_GT(fastest->points.size(), 100U);
}

// A hand pushes the robot on by some decimetres, and its wheels do not turn.
TEST(LiveTracker, NoticesARobotThatIsMovedByHand) {
  const DrivenHouse house = driven(ring_house(1));
  const double begin_s = house.drive.scans.front().time_s + 4.0;
  double pushed_s = begin_s;
  while (apart_m(house.true_pose(begin_s), house.true_pose(pushed_s)) < 0.4) pushed_s += 0.05;
  const std::vector<TrackedScan> path = tracked(without_motion(house.drive, begin_s, pushed_s));
  for (std::size_t i = 0; i < path.size(); ++i) {
    if (path[i].time_s < begin_s) {
      EXPECT_NE(path[i].by, TrackedBy::walls_only) << path[i].time_s;
    } else if (path[i].time_s > pushed_s + 2.0) {
      ASSERT_LT(error_m(house, path, i), 0.1) << path[i].time_s;
    }
  }
  const auto noticed =
      std::find_if(path.begin(), path.end(), [](const TrackedScan& scan) { return scan.by == TrackedBy::walls_only; });
  ASSERT_NE(noticed, path.end());
  EXPECT_LT(noticed->time_s, pushed_s + 2.0);
}

/// A robot that goes straight on at 0.3 m/s; what it sees in the meantime, ten times a second, is told by its way.
template <typename SeenAt>
Drive straight_drive(double seconds, const SeenAt& seen_at) {
  Drive drive;
  drive.robot.drive = DriveConstants{1e-4, 1e-4, 0.3, {}, {}, {}, {}, 32};
  drive.robot.lidar = still_lidar();
  for (int i = 0; 0.02 * i <= seconds; ++i) drive.wheels.push_back({0.02 * i, 60 * i, 60 * i});
  for (int i = 1; 0.1 * i < seconds; ++i) {
    drive.scans.push_back(seen_at(0.03 * i));
    drive.scans.back().time_s = 0.1 * i;
  }
  return drive;
}

// Carried into another house: where the robot was is of no use there.
TEST(LiveTracker, BeginsAnewWhereNothingFits) {
  const Scene corridor = closed_walls({{-6.0, -0.6}, {6.0, -0.6}, {6.0, 0.6}, {-6.0, 0.6}});
  const double carried_m = 1.5;
  const Drive drive = straight_drive(30.0, [&](double way_m) {
    return way_m < carried_m ? scan_at(crooked_room(), {way_m - 1.2, -0.6, 0.0})
                             : scan_at(corridor, {way_m - 5.0, 0.0, 0.0});
  });
  const std::vector<TrackedScan> path = tracked(drive);
  const auto anew = std::find_if(path.begin(), path.end(),
                                 [](const TrackedScan& scan) { return scan.by == TrackedBy::new_surroundings; });
  ASSERT_NE(anew, path.end());
  EXPECT_EQ(count_of(path, TrackedBy::new_surroundings), 1U);
  for (auto scan = path.begin(); scan != anew; ++scan) {
    EXPECT_EQ(scan->by, 0.3 * scan->time_s < carried_m ? TrackedBy::walls : TrackedBy::odometry) << scan->time_s;
  }
  for (auto scan = anew + 1; scan != path.end(); ++scan) EXPECT_EQ(scan->by, TrackedBy::walls) << scan->time_s;
  EXPECT_NEAR(apart_m(anew->pose, path.back().pose), 0.3 * (path.back().time_s - anew->time_s), 0.05);
}

// Between two bare walls nothing tells the way along them.
TEST(LiveTracker, SaysWhereTheWallsLeaveADirectionOpen) {
  const Scene endless = closed_walls({{-50.0, -0.6}, {50.0, -0.6}, {50.0, 0.6}, {-50.0, 0.6}});
  const std::vector<TrackedScan> path = tracked(straight_drive(5.0, [&](double way_m) {
    return scan_at(endless, {way_m, 0.0, 0.0});
  }));
  EXPECT_TRUE(path.back().left_open);
  EXPECT_EQ(path.back().by, TrackedBy::walls);
  const std::vector<TrackedScan> room = tracked(straight_drive(5.0, [&](double way_m) {
    return scan_at(crooked_room(), {way_m - 1.2, -0.6, 0.0});
  }));
  EXPECT_FALSE(room.back().left_open);
}

// The motion up to some counts is not known: the walls say where the robot is.
TEST(LiveTracker, ABreakIsBridgedByTheWalls) {
  const DrivenHouse house = driven(ring_house(1));
  Drive drive = house.drive;
  drive.breaks = {drive.wheels.size() / 2};
  for (std::size_t i = drive.breaks.front(); i < drive.wheels.size(); ++i) drive.wheels[i].left_ticks += 1'000'000;
  const std::vector<TrackedScan> path = tracked(drive);
  EXPECT_LT(error_m(house, path, path.size() - 1), 0.15);
}

TEST(LiveTracker, KeepsNoMoreOfTheReadingsThanIsNeeded) {
  const Drive drive = straight_drive(100.0, [](double /*way_m*/) { return scan_at(crooked_room(), {}); });
  LiveTracker tracker(drive.robot, lidar_model(drive.robot.lidar));
  std::size_t most = 0;
  feed(drive, tracker.readings(), [&] {
    tracker.take();
    most = std::max(most, tracker.readings().drive().wheels.size());
  });
  EXPECT_LE(most, 3100U) << "fifty rows a second: of half a minute, and as much that is forgotten in one go";
}

}  // namespace
}  // namespace wainscot
