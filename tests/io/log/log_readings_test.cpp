#include "io/log/log_readings.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

TEST(LogReadings, RangesAsTheyAreWrittenBesideThoseThatRobotYamlTakes) {
  ReaderFolder folder;
  folder.write_drive();
  const LogReadings readings = read_log(folder.path());
  ASSERT_EQ(readings.drive.scans.size(), 3U);
  EXPECT_EQ(readings.drive.scans[1].returns.size(), 2U);
  ASSERT_EQ(readings.logged.size(), 3U);
  ASSERT_EQ(readings.logged[1].returns.size(), 3U);  // 0.05 m is nearer than min_range_m
  EXPECT_FLOAT_EQ(readings.logged[1].returns[2].range_m, 0.05F);
  EXPECT_FLOAT_EQ(readings.logged[2].returns[0].range_m, 8.5F);
  EXPECT_FALSE(readings.with_16_bits.has_value());
}

TEST(LogReadings, JumpsOf32BitsAreTriedWith16) {
  ReaderFolder folder;
  folder.write_drive();
  folder.write("wheels.csv",
               "time_s,left_ticks,right_ticks\n10.0,65000,100\n10.5,65500,600\n11.0,464,1100\n11.5,964,1600\n");
  const LogReadings readings = read_log(folder.path());
  EXPECT_EQ(readings.drive.breaks.size(), 1U);
  ASSERT_TRUE(readings.with_16_bits.has_value());
  EXPECT_TRUE(readings.with_16_bits->breaks.empty());
  EXPECT_EQ(readings.with_16_bits->wheels.back().left_ticks, 65000 + 1500);
}

TEST(LogReadings, HeadingsInTheOtherUnit) {
  ReaderFolder folder;
  folder.write_drive();
  EXPECT_FALSE(read_log(folder.path()).other_headings.has_value());
  folder.remove("wheels.csv");
  folder.write("odometry.csv",
               "time_s,x_m,y_m,heading_rad\n10.0,0,0,0\n10.5,0.1,0,90\n11.0,0.2,0,180\n11.5,0.3,0,-90\n");
  const LogReadings readings = read_log(folder.path());
  ASSERT_TRUE(readings.other_headings.has_value());
  EXPECT_NEAR(readings.other_headings->heading_unit_rad, std::acos(-1.0) / 180.0, 1e-15);
  ASSERT_EQ(readings.other_headings->odometry.size(), 4U);
  EXPECT_NEAR(readings.other_headings->odometry[3].pose.heading_rad, 1.5 * std::acos(-1.0), 1e-12);  // unwrapped
}

TEST(LogReadings, WrongInputIsRefused) {
  ReaderFolder folder;
  EXPECT_THROW(read_log(folder.path() / "nowhere"), InputError);
}

}  // namespace
}  // namespace wainscot
