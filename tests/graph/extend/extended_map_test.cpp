// Simulated: a small home is mapped on one day and driven again on another.

#include "graph/extend/extended_map.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/graph/two_days.hpp"

namespace wainscot {
namespace {

class ExtendedMap : public testing::Test {
 protected:
  static void SetUpTestSuite() {
    first_ = new DrivenHouse(driven(first_day()));
    second_ = new DrivenHouse(driven(second_day()));
    old_ = new Map(build_map(first_->drive, two_threads()));
    const Drive saved = as_saved(first_->drive, *old_);
    drives_ = new std::vector<Drive>{saved, second_->drive};
    drives_->back().markers.push_back({second_->drive.wheels.front().time_s - 10.0, "hall", 1.0, 0.0, std::nullopt});
    map_ = new Map(extend_map(*old_, *drives_, 1, two_threads()));
  }
  static void TearDownTestSuite() {
    delete first_;
    delete second_;
    delete old_;
    delete drives_;
    delete map_;
  }

  static std::vector<TimedPose> path_of(const Map& map, int drive) {
    std::vector<TimedPose> path;
    for (const TrajectoryRow& row : map.trajectory) {
      if (row.drive == drive) path.push_back({row.time_s, row.pose});
    }
    return path;
  }

  static inline DrivenHouse* first_ = nullptr;
  static inline DrivenHouse* second_ = nullptr;
  static inline Map* old_ = nullptr;
  static inline std::vector<Drive>* drives_ = nullptr;
  static inline Map* map_ = nullptr;
};

TEST_F(ExtendedMap, BothDrivesLieInOneFrameThatStays) {
  const TrajectoryError first = absolute_trajectory_error(path_of(*map_, 1), first_->truth.trajectory);
  EXPECT_LT(first.position_rmse_m, 0.012);
  double worst_m = 0.0;
  for (const TimedPose& row : path_of(*map_, 2)) {
    const Pose2 error = between(second_->true_pose(row.time_s), first.alignment * row.pose);
    worst_m = std::max(worst_m, error.translation().norm());
  }
  EXPECT_LT(worst_m, 0.04);
  EXPECT_LT(map_->graph.nodes.front().pose.translation().norm(), 1e-7);  // files tell a micrometre
  EXPECT_EQ(map_->grid.frame.cell_size_m, old_->grid.frame.cell_size_m);
}

TEST_F(ExtendedMap, NothingOfTheOldDriveIsLost) {
  EXPECT_EQ(path_of(*map_, 1).size(), old_->trajectory.size());
  const auto old_nodes = static_cast<std::ptrdiff_t>(old_->graph.nodes.size());
  EXPECT_EQ(std::count_if(map_->graph.nodes.begin(), map_->graph.nodes.end(),
                          [](const Node& node) { return node.drive == 1; }),
            old_nodes);
  for (const Node& node : map_->graph.nodes) {
    ASSERT_LT(node.scan, drives_->at(static_cast<std::size_t>(node.drive) - 1).scans.size());
    const bool has_row = std::any_of(map_->trajectory.begin(), map_->trajectory.end(), [&](const TrajectoryRow& row) {
      return row.drive == node.drive && row.time_s == node.time_s;
    });
    EXPECT_TRUE(has_row) << node.drive << ", " << node.time_s;
  }
  ASSERT_EQ(map_->shares.size(), 2U);
  EXPECT_EQ(map_->shares[0].scans_used, static_cast<int>(old_->trajectory.size()));
  EXPECT_NEAR(map_->shares[0].path_length_m, old_->quality.path_length_m, 0.1);
  EXPECT_NEAR(map_->quality.duration_s, map_->shares[0].duration_s + map_->shares[1].duration_s, 1e-9);
}

TEST_F(ExtendedMap, RowsOfEachDriveRiseAndItsOdometryBeginsOnIt) {
  for (std::size_t i = 0; i < map_->trajectory.size(); ++i) {
    const TrajectoryRow& row = map_->trajectory[i];
    const bool first = i == 0 || map_->trajectory[i - 1].drive != row.drive;
    if (first) {
      EXPECT_LT(between(row.pose, row.odometry).translation().norm(), 1e-9);
    } else {
      EXPECT_LT(map_->trajectory[i - 1].time_s, row.time_s);
    }
  }
}

TEST_F(ExtendedMap, TheDaysDelayIsThatOfTheFirstDrive) {
  const auto offset = std::find_if(map_->constants.begin(), map_->constants.end(), [](const RefinedConstant& constant) {
    return constant.name == "lidar.time_offset_s";
  });
  ASSERT_NE(offset, map_->constants.end());
  EXPECT_NEAR(offset->found, -0.02, 0.005);
}

TEST_F(ExtendedMap, TheShelfIsGoneAndStandsElsewhere) {
  const Pose2 map_from_truth =
      inverse(absolute_trajectory_error(path_of(*map_, 1), first_->truth.trajectory).alignment);
  const auto told = [&](bool appeared, const Eigen::Vector2d& place) {
    return std::any_of(map_->changes.begin(), map_->changes.end(), [&](const Change& change) {
      const Eigen::Vector2d middle = 0.5 * (change.from_m + change.to_m);
      return change.since_drive == 2 && change.appeared == appeared && (middle - map_from_truth * place).norm() < 0.5;
    });
  };
  EXPECT_TRUE(told(false, {0.35, 4.0}));
  EXPECT_TRUE(told(true, {1.6, 4.65}));
}

TEST_F(ExtendedMap, ARowOfMarkersThatIsLeftOutIsToldWithItsDriveAndItsTime) {
  ASSERT_EQ(map_->markers.left_out.size(), 1U);
  const LeftOutSighting& left_out = map_->markers.left_out.front();
  EXPECT_NEAR(left_out.time_s, drives_->back().markers.front().time_s, 1e-9);
  EXPECT_EQ(left_out.reason.rfind("drive 2: ", 0), 0U) << left_out.reason;
}

TEST_F(ExtendedMap, ThreadsChangeNothing) {
  if (kSlowBuild) GTEST_SKIP() << "once is enough under sanitizers";
  MapperOptions one;
  one.threads = 1;
  const Map again = extend_map(*old_, *drives_, 1, one);
  ASSERT_EQ(again.trajectory.size(), map_->trajectory.size());
  for (std::size_t i = 0; i < again.trajectory.size(); ++i) {
    ASSERT_EQ(again.trajectory[i].pose.x_m, map_->trajectory[i].pose.x_m) << i;
  }
}

TEST_F(ExtendedMap, ADriveOfAnotherHouseIsRefusedWithTheFigures) {
  std::vector<Drive> drives = {drives_->front(), driven(other_house()).drive};
  drives.back().robot = drives.front().robot;
  try {
    extend_map(*old_, drives, 1, two_threads());
    FAIL() << "it joined";
  } catch (const PoorData& refused) {
    EXPECT_NE(std::string(refused.what()).find("does not join the map"), std::string::npos) << refused.what();
  }
}

TEST_F(ExtendedMap, AnotherRobotIsRefused) {
  std::vector<Drive> drives = *drives_;
  for (WheelCounts& row : drives.back().wheels) {
    row.left_ticks *= 2;
    row.right_ticks *= 2;
  }
  drives.back().robot.drive->left_m_per_tick *= 0.5;
  drives.back().robot.drive->right_m_per_tick *= 0.5;
  EXPECT_THROW(extend_map(*old_, drives, 1, two_threads()), InputError);
}

TEST_F(ExtendedMap, ALidarThatIsSaidToSitElsewhereIsNamed) {
  std::vector<Drive> drives = *drives_;
  drives.back().robot.lidar.heading_deg = 180.0;
  try {
    extend_map(*old_, drives, 1, two_threads());
    FAIL() << "it joined";
  } catch (const InputError& error) {
    EXPECT_NE(std::string(error.what()).find("lidar.heading_deg"), std::string::npos) << error.what();
  }
}

TEST_F(ExtendedMap, AFrameOfTheUsersStays) {
  MapperOptions options = two_threads();
  const Pose2 begin{3.0, -2.0, 0.7};
  options.frame.first_pose = begin;
  Map old = build_map(first_->drive, options);
  const std::vector<Drive> drives = {as_saved(first_->drive, old), second_->drive};
  const Map map = extend_map(old, drives, 1, two_threads());
  const Pose2 error = between(begin, map.graph.nodes.front().pose);
  EXPECT_LT(error.translation().norm(), 1e-7);
  EXPECT_LT(std::abs(error.heading_rad), 1e-7);
  const TrajectoryError first = absolute_trajectory_error(path_of(map, 1), first_->truth.trajectory);
  for (const TimedPose& row : path_of(map, 2)) {
    const Pose2 away = between(second_->true_pose(row.time_s), first.alignment * row.pose);
    ASSERT_LT(away.translation().norm(), 0.04) << row.time_s;
  }
}

}  // namespace
}  // namespace wainscot
