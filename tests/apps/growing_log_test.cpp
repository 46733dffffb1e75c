#include "apps/growing_log.hpp"

#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/apps/has.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

/// Writes down what it is told.
struct Told {
  void add_counts(const WheelCounts& counts) { told.push_back("counts " + std::to_string(counts.left_ticks)); }
  void add_pose(const TimedPose& pose) { told.push_back("pose " + std::to_string(static_cast<int>(pose.time_s))); }
  void add_yaw_rate(const YawRate& /*rate*/) { told.emplace_back("rate"); }
  void add_break() { told.emplace_back("break"); }
  void add_scan(const Scan& scan) { told.push_back("scan " + std::to_string(static_cast<int>(scan.time_s))); }

  std::vector<std::string> told;
};

using Words = std::vector<std::string>;

// Odometry before the scans, which wait for it.
TEST(GrowingLog, HandsOnInTheOrderInWhichItIsNeeded) {
  NewReadings came;
  came.wheels = {{1.0, 10, 0}, {2.0, 20, 0}, {3.0, 5, 0}};
  came.breaks = {2};
  came.gyro = {{1.0, 0.0}};
  came.scans = {{1.0, {}}, {2.0, {}}};
  Told live;
  hand_on(std::move(came), live);
  EXPECT_EQ(live.told, (Words{"counts 10", "counts 20", "break", "counts 5", "rate", "scan 1", "scan 2"}));
  NewReadings poses;
  poses.odometry = {{1.0, {}}, {2.0, {}}};
  poses.breaks = {0, 1};
  Told other;
  hand_on(std::move(poses), other);
  EXPECT_EQ(other.told, (Words{"break", "pose 1", "break", "pose 2"}));
}

/// What following a folder's drive gave.
struct Followed {
  Words told;
  int ends = 0;
  int idle = 0;
};

Followed followed(const std::filesystem::path& folder, const FollowingOptions& options,
                  const std::function<void()>& while_idle = {}) {
  Followed result;
  GrowingLog log(folder, robot_of_growing_drive(folder, options));
  EXPECT_FALSE(log.is_stream());
  follow_drive(
      log, options,
      [&result](NewReadings&& readings, bool at_end) {
        Told live;
        hand_on(std::move(readings), live);
        result.told.insert(result.told.end(), live.told.begin(), live.told.end());
        EXPECT_EQ(result.ends, 0) << "nothing comes behind the end";
        result.ends += at_end ? 1 : 0;
      },
      [&] {
        ++result.idle;
        if (while_idle) while_idle();
      });
  EXPECT_FALSE(log.has_ended()) << "a folder may always grow";
  EXPECT_TRUE(log.warnings().empty());
  return result;
}

TEST(GrowingLog, IsOverWhenNothingComesAnyMore) {
  const ReaderFolder folder;
  folder.write_drive();
  FollowingOptions options;
  options.until_idle_s = 0.1;
  const Followed result = followed(folder.path(), options);
  EXPECT_EQ(result.told.size(), 6U);
  EXPECT_EQ(result.ends, 1);
  EXPECT_GT(result.idle, 0);
}

TEST(GrowingLog, WhatComesInTheMeantimeIsHandedOn) {
  const ReaderFolder folder;
  folder.write_drive();
  FollowingOptions options;
  options.until_idle_s = 0.5;
  int rows = 0;
  const Followed result = followed(folder.path(), options, [&] {
    if (rows < 5) std::ofstream(folder.path() / "wheels.csv", std::ios::app) << 12 + rows++ << ".0,1300,300\n";
  });
  EXPECT_EQ(result.told.size(), 11U);
}

TEST(GrowingLog, AFolderThatIsNoneIsRefused) {
  const ReaderFolder folder;
  const auto refusal = [](const std::filesystem::path& drive) -> std::string {
    try {
      robot_of_growing_drive(drive, {});
    } catch (const InputError& error) {
      return error.what();
    }
    return "";
  };
  EXPECT_TRUE(has(refusal(folder.path() / "nowhere"), "is not a folder"));
  EXPECT_TRUE(has(refusal(folder.path()), "robot.yaml: is not there"));
  folder.write("robot.yaml", "wainscot_robot: 1\n");
  EXPECT_EQ(refusal(folder.path()), "") << "the tables, and the wheels' constants, may come later";
  folder.write("robot.yaml", "wainscot_robot: 1\nodd: 1\n");
  EXPECT_TRUE(has(refusal(folder.path()), "odd"));
}

TEST(GrowingLog, AStreamNeedsToBeExplainedAndAFolderDoesNot) {
  FollowingOptions none;
  FollowingOptions both;
  both.columns = "columns.yaml";
  both.robot = "robot.yaml";
  FollowingOptions half = both;
  half.robot.clear();
  EXPECT_TRUE(is_stream("-"));
  EXPECT_FALSE(is_stream("my-drive"));
  EXPECT_THROW(check_following("-", none), InputError);
  EXPECT_THROW(check_following("-", half), InputError);
  EXPECT_THROW(check_following("my-drive", both), InputError);
  EXPECT_NO_THROW(check_following("my-drive", none));
}

}  // namespace
}  // namespace wainscot
