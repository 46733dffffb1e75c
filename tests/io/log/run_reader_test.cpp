#include "io/log/run_reader.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

constexpr const char* kHeader = "run,surface,forward_m,left_m,turn_deg,sd_m,sd_deg,left_ticks,right_ticks,wheels\n";

class RunReaderTest : public testing::Test {
 protected:
  RunReaderTest() {
    folder_.write("robot.yaml",
                  "wainscot_robot: 1\ndrive:\n  left_m_per_tick: 1e-4\n  right_m_per_tick: 1e-4\n"
                  "  track_width_m: 0.3\n");
    folder_.write("path.csv", "time_s,left_ticks,right_ticks\n0,5,5\n0.1,105,105\n0.2,255,255\n");
  }
  CalibrationRuns runs(const std::string& rows, const std::vector<std::string>& leave_out = {}) {
    folder_.write("runs.csv", kHeader + rows);
    return read_runs(folder_.path(), leave_out);
  }
  std::string refusal(const std::string& rows) {
    try {
      runs(rows);
    } catch (const InputError& error) {
      return error.what();
    }
    return "";
  }
  void expect_refused(const std::string& rows, const std::string& part) {
    const std::string said = refusal(rows);
    EXPECT_NE(said.find(part), std::string::npos) << rows << said;
    EXPECT_NE(said.find("runs.csv:2"), std::string::npos) << said;
  }

  ReaderFolder folder_;
};

TEST_F(RunReaderTest, TotalsLogsAndEmptyCells) {
  const CalibrationRuns read = runs(
      "a,wood,2.001,,-0.5,0.002,0.3,20000,20010,\n"
      "b,carpet,,,360,,,-9425,9425,\n"
      "c,wood,0.03,0.01,0,,,,,path.csv\n");
  ASSERT_EQ(read.runs.size(), 3U);
  EXPECT_EQ(read.runs[0].forward_m, 2.001);
  EXPECT_FALSE(read.runs[0].left_m);
  EXPECT_NEAR(*read.runs[0].turn_rad, -0.5 * std::numbers::pi / 180.0, 1e-12);
  EXPECT_NEAR(*read.runs[0].sd_rad, 0.3 * std::numbers::pi / 180.0, 1e-12);
  EXPECT_EQ(read.runs[0].wheels.back().right_ticks, 20010);
  EXPECT_FALSE(read.runs[0].whole_path);
  EXPECT_NEAR(*read.runs[1].turn_rad, 2.0 * std::numbers::pi, 1e-12);  // whole turns count
  EXPECT_FALSE(read.runs[1].sd_m);
  EXPECT_TRUE(read.runs[2].whole_path);
  EXPECT_EQ(read.runs[2].wheels.size(), 3U);
  EXPECT_TRUE(holds_runs(folder_.path()));
}

TEST_F(RunReaderTest, LeavesRunsOut) {
  const std::string rows = "a,wood,2,,0,,,20000,20000,\nb,wood,2,,0,,,20000,20000,\n";
  EXPECT_EQ(runs(rows, {"a"}).runs.size(), 1U);
  EXPECT_THROW(runs(rows, {"c"}), InputError);
  EXPECT_THROW(runs(rows, {"a", "b"}), InputError);
}

TEST_F(RunReaderTest, WrongUnits) {
  expect_refused("a,wood,2000,,0,,,20000,20000,\n", "write 2 if it was measured in millimetres");
  expect_refused("a,wood,,,6.2832,,,-9425,9425,\n", "write degrees, not radians");
  expect_refused("a,wood,2,,0,2,,20000,20000,\n", "sd_m is 2");
  expect_refused("a,wood,2,,0,0,,20000,20000,\n", "sd_m is 0");
  expect_refused("a,wood,2e7,,0,,,20000,20000,\n", "not possible");
}

// Both were refused: as radians, and as longer than 50 m.
TEST_F(RunReaderTest, WheelsThatDifferAndALongCorridorAreRead) {
  const CalibrationRuns read = runs(
      "a,wood,2.2,0.01,0.3,,,22000,23100,\n"
      "b,wood,60,,1.2,,,600000,601000,\n");
  EXPECT_EQ(read.runs.size(), 2U);
  EXPECT_TRUE(read.warnings.empty());
}

TEST_F(RunReaderTest, WhatMayBeMeantIsWarnedOfWithItsLine) {
  const CalibrationRuns read = runs("a,wood,20.5,,0,,,20000,20000,\n");
  ASSERT_EQ(read.warnings.size(), 1U);
  EXPECT_NE(read.warnings[0].find("runs.csv:2: forward_m is 20.5, but by their ticks the wheels rolled about 2 m"),
            std::string::npos)
      << read.warnings[0];
}

TEST_F(RunReaderTest, WhatIsMissing) {
  expect_refused("a,wood,2,,0,,,,,\n", "has no counts");
  expect_refused("a,wood,2,,0,,,20000,,\n", "one wheel only");
  expect_refused("a,wood,2,,0,,,20000,20000,path.csv\n", "beside left_ticks");
  expect_refused("a,wood,2,,0,,,,,absent.csv\n", "not in the folder");
  expect_refused("a,wood,2,,0,,,,,../path.csv\n", "beside runs.csv");
  expect_refused("a,wood,,,,,,20000,20000,\n", "has no measurement");
  expect_refused("a,wood,2,,0,,,0,0,\n", "counted no tick");
  expect_refused(",wood,2,,0,,,1,1,\n", "run");
  EXPECT_NE(refusal("a,wood,2,,0,,,20000,20000,\na,wood,2,,0,,,20000,20000,\n").find("there twice"), std::string::npos);
  EXPECT_NE(refusal("").find("runs.csv"), std::string::npos);
}

// A line of the file behind it was shown.
TEST_F(RunReaderTest, FollowsNoLink) {
  std::filesystem::create_symlink("/etc/passwd", folder_.path() / "link.csv");
  expect_refused("a,wood,2,,0,,,,,link.csv\n", "wheels is link.csv, which is no plain file; put it there");
  EXPECT_EQ(refusal("a,wood,2,,0,,,,,link.csv\n").find("root"), std::string::npos);
}

TEST_F(RunReaderTest, ALogThatRestartsIsNoRun) {
  std::string log = "time_s,left_ticks,right_ticks\n";
  for (int i = 0; i <= 60; ++i) log += std::to_string(0.1 * i) + "," + std::to_string(i * 300) + ",9000\n";
  log += "6.1,0,0\n6.2,300,300\n";
  folder_.write("restart.csv", log);
  expect_refused("a,wood,2,,0,,,,,restart.csv\n", "restarted or jumped");
}

TEST_F(RunReaderTest, NeedsTheRobotInUse) {
  folder_.remove("robot.yaml");
  EXPECT_NE(refusal("a,wood,2,,0,,,20000,20000,\n").find("robot.yaml: is not there"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
