#include "io/convert/motion_tables.hpp"

#include <memory>
#include <string>

#include <gtest/gtest.h>

#include "tests/io/convert/sample_log.hpp"

namespace wainscot {
namespace {

template <typename Table, typename Columns>
std::string motion_table(SampleLog& log, const Columns& columns) {
  return log.filled([&columns](const RecordReader& records, TableWriter& writer) {
    return std::make_unique<Table>(columns, records, writer);
  });
}

SampleLog comma_log(const std::string& text) {
  return {text, table_file(Separator::comma, false), {"1", "2", "3", "4"}};
}

WheelColumns wheel_columns(const std::string& unit = "") {
  WheelColumns wheels;
  wheels.time = column("1", "s");
  wheels.left = column("2", unit);
  wheels.right = column("3", unit, -1);
  return wheels;
}

TEST(WheelTable, CountsAsTheyAre) {
  SampleLog log = comma_log("0.50,10,-5\n1,12.000000,-6\n");
  EXPECT_EQ(motion_table<WheelTable>(log, wheel_columns()), "time_s,left_ticks,right_ticks\n0.50,10,5\n1,12,6\n");
  EXPECT_TRUE(log.faults.empty());
}

TEST(WheelTable, IncrementsBecomeTotals) {
  WheelColumns wheels = wheel_columns();
  wheels.increments = true;
  SampleLog log = comma_log("0,10,-5\n1,2,1\n2,0,0\n");
  EXPECT_EQ(motion_table<WheelTable>(log, wheels), "time_s,left_ticks,right_ticks\n0,10,5\n1,12,4\n2,12,4\n");
}

TEST(WheelTable, AWayBecomesMicrometres) {
  SampleLog log = comma_log("0,1.25,-0.5\n");
  EXPECT_EQ(motion_table<WheelTable>(log, wheel_columns("m")), "time_s,left_ticks,right_ticks\n0,1250000,500000\n");
  SampleLog of_angles = comma_log("0,180,0\n");
  EXPECT_EQ(motion_table<WheelTable>(of_angles, wheel_columns("deg")), "time_s,left_ticks,right_ticks\n0,3141593,0\n");
}

TEST(WheelTable, CountsAreWhole) {
  SampleLog log = comma_log("0,1.25,3\nx,1,1\n1,2\n");
  EXPECT_EQ(motion_table<WheelTable>(log, wheel_columns()), "time_s,left_ticks,right_ticks\n");
  ASSERT_EQ(log.faults.size(), 3U);
  EXPECT_EQ(log.faults[0].rfind("1: wheels.left is 1.25, but counts are whole numbers", 0), 0U) << log.faults[0];
  EXPECT_EQ(log.faults[1], "2: wheels.time (column '1') should be a number, but is 'x'");
  EXPECT_EQ(log.faults[2], "3: wheels.right (column '3') is missing in this line");
}

TEST(RepeatedRows, LeaveOutWhatStandsBesideEachBeam) {
  RepeatedRows beside(true);
  EXPECT_FALSE(beside.leaves_out(1.000, {5.0, 6.0, 0.0}));
  EXPECT_TRUE(beside.leaves_out(1.001, {5.0, 6.0, 0.0}));
  EXPECT_FALSE(beside.leaves_out(1.002, {5.0, 7.0, 0.0}));
  EXPECT_TRUE(beside.leaves_out(1.003, {5.0, 7.0, 0.0}));
  EXPECT_FALSE(beside.leaves_out(1.060, {5.0, 7.0, 0.0}));  // it stands, and that is told
  RepeatedRows alone(false);
  EXPECT_FALSE(alone.leaves_out(1.000, {5.0, 6.0, 0.0}));
  EXPECT_FALSE(alone.leaves_out(1.001, {5.0, 6.0, 0.0}));
}

TEST(OdometryTable, PosesInMetresAndRadians) {
  OdometryColumns odometry;
  odometry.time = column("1", "ms");
  odometry.x = column("2", "mm");
  odometry.y = column("3", "m");
  odometry.heading = column("4", "deg", -1);
  SampleLog log = comma_log("1500,2500,0.125,90\n1600,1e20,0,0\n");
  EXPECT_EQ(motion_table<OdometryTable>(log, odometry), "time_s,x_m,y_m,heading_rad\n1.5,2.5,0.125,-1.57079633\n");
  ASSERT_EQ(log.faults.size(), 1U);
  EXPECT_NE(log.faults[0].find("the unit may be another"), std::string::npos);
}

TEST(GyroTable, RatesInRadians) {
  GyroColumns gyro;
  gyro.time = column("1", "s");
  gyro.yaw_rate = column("2", "deg/s");
  SampleLog log = comma_log("1,180\n2,-0.5\n3,9000\n");
  EXPECT_EQ(motion_table<GyroTable>(log, gyro), "time_s,yaw_rate_rad_s\n1,3.14159265\n2,-0.00872665\n");
  EXPECT_EQ(log.faults.size(), 1U);
}

}  // namespace
}  // namespace wainscot
