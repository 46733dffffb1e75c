#include "io/log/scan_reader.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "core/angles.hpp"
#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

class ScanReaderTest : public testing::Test {
 protected:
  ScanReaderTest() { lidar_.sweep_s = 0.36; }  // a millisecond a degree

  std::vector<Scan> read(const std::string& text) {
    FileReader file(folder_.write("scans.csv", text));
    return read_scans(file, lidar_, warnings_);
  }

  std::string refusal(const std::string& text) {
    try {
      read(text);
    } catch (const InputError& error) {
      const std::string message = error.what();
      return message.substr(message.rfind("scans.csv"));
    }
    return "";
  }

  static void expect_return(const Return& actual, double angle_deg, double range_m, double time_offset_s) {
    EXPECT_NEAR(actual.angle_rad, angle_deg * kDegree, 1e-6);
    EXPECT_NEAR(actual.range_m, range_m, 1e-6);
    EXPECT_NEAR(actual.time_offset_s, time_offset_s, 1e-7);
  }

  ReaderFolder folder_;
  LidarConstants lidar_;
  std::vector<std::string> warnings_;
};

TEST_F(ScanReaderTest, BeamsInTheOrderOfFiringWithTheirTimes) {
  const std::vector<Scan> scans = read("time_s,-120,0,120\n5.5,1,2,3\n6,4,,5.25\n");
  ASSERT_EQ(scans.size(), 2u);
  EXPECT_EQ(scans[0].time_s, 5.5);
  ASSERT_EQ(scans[0].returns.size(), 3u);
  expect_return(scans[0].returns[0], -120, 1, 0.0);
  expect_return(scans[0].returns[1], 0, 2, 0.12);
  expect_return(scans[0].returns[2], 120, 3, 0.24);
  EXPECT_EQ(scans[1].time_s, 6.0);
  ASSERT_EQ(scans[1].returns.size(), 2u);
  expect_return(scans[1].returns[0], -120, 4, 0.0);
  expect_return(scans[1].returns[1], 120, 5.25, 0.24);
}

TEST_F(ScanReaderTest, AClockwiseLidarListsFallingAngles) {
  const std::vector<Scan> scans = read("time_s,90,0,270,180\n0,1,2,3,4\n");
  ASSERT_EQ(scans[0].returns.size(), 4u);
  expect_return(scans[0].returns[0], 90, 1, 0.0);
  expect_return(scans[0].returns[1], 0, 2, 0.09);
  expect_return(scans[0].returns[2], -90, 3, 0.18);
  expect_return(scans[0].returns[3], 180, 4, 0.27);
}

TEST_F(ScanReaderTest, TheListMayCrossAHalfTurnAndHaveAWideGap) {
  const std::vector<Scan> scans = read("time_s,170,175,-175,30,35\n0,1,1,1,1,1\n");
  const double offsets[] = {0.0, 0.005, 0.015, 0.22, 0.225};
  for (std::size_t i = 0; i < 5; ++i) EXPECT_NEAR(scans[0].returns[i].time_offset_s, offsets[i], 1e-7) << i;
}

TEST_F(ScanReaderTest, NoReturnTooNearTooFarAndBlind) {
  lidar_.max_range_m = 6.3;  // no float
  lidar_.blind_deg = {{170, -170}};
  const std::vector<Scan> scans =
      read("time_s,0,10,20,30,40,50,60,170,180\n0,,nan,inf,0,0.1,0.15,6.3,1,1\n1,1,99,1,1,1,1,1,1,1\n");
  ASSERT_EQ(scans[0].returns.size(), 2u);
  expect_return(scans[0].returns[0], 50, 0.15, 0.05);
  expect_return(scans[0].returns[1], 60, 6.3, 0.06);
  ASSERT_EQ(scans[1].returns.size(), 7u);
  expect_return(scans[1].returns[1], 10, 6.3, 0.01);
  EXPECT_GE(static_cast<double>(scans[1].returns[1].range_m), lidar_.max_range_m);
}

TEST_F(ScanReaderTest, MirroredAnglesRunTheOtherWay) {
  lidar_.mirrored = true;
  lidar_.blind_deg = {{-100, -80}};  // of the corrected angles
  const std::vector<Scan> scans = read("time_s,0,90,180,270\n0,1,2,3,4\n");
  ASSERT_EQ(scans[0].returns.size(), 3u);
  expect_return(scans[0].returns[0], 0, 1, 0.0);
  EXPECT_NEAR(std::abs(scans[0].returns[1].angle_rad), std::numbers::pi, 1e-6);
  expect_return(scans[0].returns[2], 90, 4, 0.27);
}

TEST_F(ScanReaderTest, RangeUnit) {
  lidar_.range_unit_m = 0.001;
  expect_return(read("time_s,0\n0,1234\n")[0].returns[0], 0, 1.234, 0.0);
}

TEST_F(ScanReaderTest, TheLidarsClockIsBroughtToTheWheels) {
  lidar_.clock_rate = 1.5;
  lidar_.time_offset_s = -0.25;
  const std::vector<Scan> scans = read("time_s,0,90\n100,1,1\n102,1,1\n");
  EXPECT_DOUBLE_EQ(scans[0].time_s, 99.75);
  EXPECT_DOUBLE_EQ(scans[1].time_s, 102.75);
  EXPECT_NEAR(scans[1].returns[1].time_offset_s, 0.09 * 1.5, 1e-7);
}

TEST_F(ScanReaderTest, WithoutSweepEachIntervalIsOneTurn) {
  lidar_.sweep_s = std::nullopt;
  // 0.1, 0.11, 0.09 s; then two revolutions lost (0.3 s), 0.1 s; the last turn takes the median.
  const std::vector<Scan> scans = read("time_s,0,180\n0,1,1\n0.1,1,1\n0.21,1,1\n0.3,1,1\n0.6,1,1\n0.7,1,1\n");
  const double sweeps[] = {0.1, 0.11, 0.09, 0.1, 0.1, 0.1};
  for (std::size_t i = 0; i < 6; ++i) EXPECT_NEAR(scans[i].returns[1].time_offset_s, sweeps[i] / 2, 1e-7) << i;
}

TEST_F(ScanReaderTest, ASweepOfZeroIsAllBeamsAtOnce) {
  lidar_.sweep_s = 0.0;
  EXPECT_EQ(read("time_s,0,180\n0,1,1\n")[0].returns[1].time_offset_s, 0.0f);
}

TEST_F(ScanReaderTest, AScanWithTheTimeOfTheOneBeforeIsLeftOut) {
  const std::vector<Scan> scans = read("time_s,0\n0,1\n0,1\n1,2\n");
  ASSERT_EQ(scans.size(), 2u);
  EXPECT_EQ(scans[1].returns[0].range_m, 2.0f);
  ASSERT_EQ(warnings_.size(), 1u);
  EXPECT_NE(warnings_[0].find("1 scan with the same time as the one before"), std::string::npos);
}

TEST_F(ScanReaderTest, EmptyScansStay) {
  EXPECT_EQ(read("time_s,0,1\n0,,\n1,,\n").size(), 2u);
  ASSERT_EQ(warnings_.size(), 1u);
  EXPECT_NE(warnings_[0].find("no return at all"), std::string::npos);
}

TEST_F(ScanReaderTest, WarnsOfUnits) {
  read("time_s,0,1\n0,1500,2500\n1,1500,2500\n");
  ASSERT_EQ(warnings_.size(), 1u);
  EXPECT_NE(warnings_[0].find("range_unit_m"), std::string::npos);
  warnings_.clear();
  std::string header = "time_s";
  std::string row = "0";
  for (int i = 0; i < 63; ++i) {
    header += fmt::format(",{:.1f}", 0.1 * i);
    row += ",1";
  }
  read(header + "\n" + row + "\n");
  ASSERT_EQ(warnings_.size(), 1u);
  EXPECT_NE(warnings_[0].find("radians"), std::string::npos);
}

TEST_F(ScanReaderTest, Refusals) {
  EXPECT_EQ(refusal("0,time_s\n1,2\n"), "scans.csv:1: the first column is '0'; the first one must be time_s");
  EXPECT_EQ(refusal("time_s\n1\n"), "scans.csv:1: there is no column for a beam; add one a beam, headed by its angle");
  EXPECT_EQ(refusal("time_s,0,a1\n1,2,3\n"),
            "scans.csv:1: the column 'a1' is not a beam's angle in degrees; rename or remove it");
  EXPECT_EQ(refusal("time_s,0,1,1.0\n1,2,3,4\n"), "scans.csv:1: the column 1 is there twice; remove one");
  EXPECT_EQ(refusal("time_s,0,120,240,360.5\n1,2,3,4,5\n"),
            "scans.csv:1: the beams' angles go round more than once; list them in the order of firing, one full turn "
            "at most");
  EXPECT_NE(refusal("time_s,0,20,10,30\n1,2,3,4,5\n").find("order of firing"), std::string::npos);
  EXPECT_EQ(refusal("time_s,0,12.5\n1,2,-3\n"),
            "scans.csv:2: the range of column 12.5 is -3, which is negative; leave the cell empty where there was no "
            "return");
  EXPECT_EQ(refusal("time_s,0,12.5\n1,2,x\n"),
            "scans.csv:2: the range of column 12.5 is 'x', which is not a number; write a number with a decimal "
            "point, such as 1.25");
}

TEST_F(ScanReaderTest, AFullTurnMayEndWhereItBegan) {
  EXPECT_NEAR(read("time_s,0,90,180,270,360\n0,1,1,1,1,1\n")[0].returns[4].time_offset_s, 0.36, 1e-7);
}

}  // namespace
}  // namespace wainscot
