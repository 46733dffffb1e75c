#include "graph/check/time_unit.hpp"

#include <string>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// Five minutes: 50 rows and 7 scans a second, their times multiplied.
Drive timed(double wheels_by, double scans_by) {
  Drive drive;
  for (int i = 0; i < 15000; ++i) drive.wheels.push_back({wheels_by * 0.02 * i, i, i});
  for (int i = 5; i < 2000; ++i) drive.scans.push_back({scans_by * i / 7.0, {}});
  return drive;
}

TEST(TimeUnit, SecondsAreSeconds) {
  EXPECT_EQ(wrong_time_unit(timed(1.0, 1.0)), std::nullopt);
  EXPECT_EQ(wrong_time_unit(timed(1.0, 0.5)), std::nullopt);
  // A scan a metre, 5 s apart, and odometry twice a second.
  EXPECT_EQ(wrong_time_unit(timed(25.0, 35.0)), std::nullopt);
  // A scan a minute, by a clock in seconds.
  EXPECT_EQ(wrong_time_unit(timed(1.0, 420.0)), std::nullopt);
  EXPECT_EQ(wrong_time_unit(Drive{}), std::nullopt);
}

TEST(TimeUnit, OfOneFileOrOfBoth) {
  EXPECT_EQ(*wrong_time_unit(timed(1000.0, 1.0)),
            "the times of wheels.csv are in milliseconds (the file covers 299980 of them, the other 284.9 s); write "
            "seconds");
  EXPECT_NE(wrong_time_unit(timed(1.0, 1000.0))->find("the lidar's file are in milliseconds"), std::string::npos);
  EXPECT_NE(wrong_time_unit(timed(1e6, 1.0))->find("wheels.csv are in microseconds"), std::string::npos);
  EXPECT_NE(wrong_time_unit(timed(1000.0, 1000.0))->find("wheels.csv and of the lidar's file are in milliseconds"),
            std::string::npos);
  Drive poses = timed(1000.0, 1000.0);
  for (const WheelCounts& row : poses.wheels) poses.odometry.push_back({row.time_s, {}});
  poses.wheels.clear();
  EXPECT_NE(wrong_time_unit(poses)->find("odometry.csv"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
