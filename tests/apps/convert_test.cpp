// The command `convert`, run with the real program as a user runs it.

#include "apps/convert.hpp"

#include <cmath>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "apps/loggers/example_logger.hpp"
#include "tests/apps/command_line.hpp"
#include "tests/io/convert/made_room_log.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

/// The fixture's drive, as a robot with a log of its own would have logged it.
class ConvertCommand : public CommandLine {
 protected:
  ConvertCommand() {
    std::ofstream(folder_.path() / "columns.yaml") << columns;
    std::ofstream(folder_.path() / "robot.log") << log();
  }

  static constexpr const char* columns =
      "wainscot_columns: 1\n"
      "files:\n"
      "  - {name: robot.log, lines: blanks}\n"
      "wheels:\n"
      "  where: {1: WHEELS}\n"
      "  time: {column: 2, unit: ms}\n"
      "  left: {column: 3}\n"
      "  right: {column: 4, sign: -1}\n"
      "scans:\n"
      "  where: {1: TURN}\n"
      "  time: {column: 2, unit: ms}\n"
      "  ranges: {from: 3, unit: mm}\n"
      "  first_angle: 0 deg\n"
      "  angle_step: -3 deg\n";

  /// Milliseconds and millimetres, a right counter that runs backwards, a lidar that counts clockwise.
  static std::string log() {
    std::string text = "READY 1.0\n";
    for (int i = 0; i <= 90; ++i) {
      text += fmt::format("WHEELS {} {} {}\n", 50 * i, std::lround(12.5 * i), -std::lround(12.5 * i));
      if (i < 4 || i % 2 == 1) continue;
      text += fmt::format("TURN {}", 50 * i);
      for (int beam = 0; beam < 120; ++beam) {
        text += fmt::format(" {:.0f}", 1000 * range_in_room(0.0125 * i, 0.0, -3 * beam * std::acos(-1.0) / 180.0));
      }
      text += "\n";
    }
    return text;
  }

  fs::path made(const std::string& name) const { return folder_.path() / "mine" / name; }
  void change(const std::string& name, const std::string& old_text, const std::string& new_text) const {
    const std::string text = replaced(content(folder_.path() / name), old_text, new_text);
    std::ofstream(folder_.path() / name, std::ios::binary) << text;
  }
};

TEST_F(ConvertCommand, MakesADriveThatMaps) {
  const Outcome converted = run("convert robot.log --columns columns.yaml --robot drive/robot.yaml --out mine");
  ASSERT_EQ(converted.status, 0) << converted.err;
  EXPECT_EQ(converted.out, "");
  EXPECT_NE(converted.err.find("wheels.csv: 91 rows, 20.0 a second"), std::string::npos) << converted.err;
  EXPECT_NE(converted.err.find("scans.csv: 44 scans of 120 ranges, 10.0 a second"), std::string::npos) << converted.err;
  EXPECT_NE(converted.err.find("1 line of other kinds not used: READY (1)"), std::string::npos) << converted.err;
  EXPECT_NE(converted.err.find("Next:\n  wainscot check mine\n"), std::string::npos) << converted.err;
  EXPECT_EQ(content(made("robot.yaml")), read("robot.yaml"));
  EXPECT_EQ(content(made("columns.yaml")), columns);
  const Outcome mapped = run("build mine --out flat");
  EXPECT_EQ(mapped.status, 0) << mapped.err;
  EXPECT_EQ(run("check mine --quiet").status, 0);
}

TEST_F(ConvertCommand, WithoutARobotOneToBeginWithIsMade) {
  const Outcome converted = run("convert robot.log --columns columns.yaml --out mine");
  ASSERT_EQ(converted.status, 0) << converted.err;
  EXPECT_NE(converted.err.find("one to begin with"), std::string::npos);
  EXPECT_NE(content(made("robot.yaml")).find("#track_width_m"), std::string::npos);
  EXPECT_EQ(run("convert robot.log --columns columns.yaml --out mine2 --quiet").err, "");
}

TEST_F(ConvertCommand, ReplacesItsOwnFilesAndKeepsTheOthers) {
  ASSERT_EQ(run("convert robot.log --columns columns.yaml --out mine").status, 0);
  std::ofstream(made("markers.csv")) << "time_s,marker,x_m,y_m\n1.0,7,1,0\n";
  std::ofstream(made("gyro.csv")) << "of a run before\n";
  std::ofstream(made("robot.yaml")) << read("robot.yaml");
  expect_refused("convert robot.log --columns columns.yaml --out mine", 2, "exists already; give --replace");
  change("robot.log", "WHEELS 50 ", "WHEELS 51 ");
  const Outcome converted = run("convert robot.log --columns columns.yaml --out mine --replace");
  ASSERT_EQ(converted.status, 0) << converted.err;
  EXPECT_NE(converted.err.find("Its robot.yaml is the one that was there"), std::string::npos);
  EXPECT_EQ(content(made("robot.yaml")), read("robot.yaml"));
  EXPECT_TRUE(fs::exists(made("markers.csv")));
  EXPECT_FALSE(fs::exists(made("gyro.csv")));
  EXPECT_NE(content(made("wheels.csv")).find("\n0.051,"), std::string::npos);
}

TEST_F(ConvertCommand, AnotherDaysLogGoesByTheSameColumns) {
  fs::rename(folder_.path() / "robot.log", folder_.path() / "tuesday.log");
  EXPECT_EQ(run("convert tuesday.log --columns columns.yaml --out mine").status, 0);
}

TEST_F(ConvertCommand, WhatIsWrongIsSaidInALine) {
  const std::string convert = "convert robot.log --columns columns.yaml --out mine";
  expect_refused("convert absent.log --columns columns.yaml --out mine", 2, "absent.log: cannot be opened");
  expect_refused("convert robot.log --columns absent.yaml --out mine", 2, "absent.yaml: cannot be opened");
  expect_refused("convert robot.log --columns columns.yaml --out absent/mine", 2, "cannot be made");
  expect_refused("convert robot.log --columns columns.yaml --out ''", 2, "is empty");
  expect_refused("convert robot.log robot.log --columns columns.yaml --out mine", 2, "robot.log: is given twice");
  expect_refused("convert robot.log columns.yaml --columns columns.yaml --out mine", 2,
                 "lists 1 file (robot.log), but 2 are");
  expect_refused(convert + " --robot columns.yaml", 2, "columns.yaml:1: the key wainscot_columns is not known");
  expect_refused("convert --columns columns.yaml --out mine", 2, "LOG");
  change("columns.yaml", "unit: mm", "unit: mile");
  expect_refused(convert, 2, "columns.yaml:12: scans.ranges.unit is 'mile'; write m, cm or mm");
  change("columns.yaml", "unit: mile", "unit: mm");
  change("columns.yaml", "column: 4", "column: 7");
  expect_refused(convert, 2,
                 "robot.log:2: wheels.right (column '7') is missing in this line; 10 of 10 lines do not fit");
  change("columns.yaml", "column: 7", "column: 4");
  change("columns.yaml", "1: TURN", "1: SCAN");
  expect_refused(convert, 2, "has 1: SCAN; other lines there: TURN (44), READY (1); correct scans.where");
  change("columns.yaml", "1: SCAN", "1: TURN");
  change("columns.yaml", "  where: {1: TURN}\n  time: {column: 2, unit: ms}",
         "  where: {1: TURN}\n  time: {column: 2, unit: s}");
  expect_refused(convert, 2, "do not overlap those of wheels");
}

// What the drive's reader refuses, though each line fits, is said of the drive that would have been made.
TEST_F(ConvertCommand, TheDriveIsReadBack) {
  change("columns.yaml", "  angle_step: -3 deg", "  angle_step: -4 deg");
  expect_refused("convert robot.log --columns columns.yaml --out mine", 2,
                 "mine/scans.csv:1: the beams' angles go round");
}

TEST_F(ConvertCommand, NoiseStopsNothing) {
  change("robot.log", "WHEELS 100 ", "WHEELS 1\x80\x01 ");
  const Outcome converted = run("convert robot.log --columns columns.yaml --out mine");
  EXPECT_EQ(converted.status, 0) << converted.err;
  EXPECT_NE(
      converted.err.find("Warning: robot.log:4: wheels.time (column '2') should be a number, but is '1\\x80\\x01'; "
                         "left out, as 1 of 91 lines for wheels"),
      std::string::npos)
      << converted.err;
}

TEST_F(ConvertCommand, GuessesALogAndSaysWhy) {
  std::ofstream(folder_.path() / "odd.log") << made_log_text(MadeRoom(30.0));
  const Outcome converted = run("convert odd.log --guess --out mine");
  ASSERT_EQ(converted.status, 0) << converted.err;
  EXPECT_NE(converted.err.find("unit of the ranges"), std::string::npos) << converted.err;
  EXPECT_NE(converted.err.find("Not all of the guess is sure"), std::string::npos) << converted.err;
  EXPECT_NE(content(made("columns.yaml")).find("# left wheel: column 3 ("), std::string::npos);
  EXPECT_NE(content(made("robot.yaml")).find("\n  track_width_m: 0."), std::string::npos);
  EXPECT_EQ(run("check mine --quiet").status, 0);
  // What it wrote gives the same drive.
  std::filesystem::copy_file(made("columns.yaml"), folder_.path() / "again.yaml");
  const std::string wheels = content(made("wheels.csv"));
  const std::string scans = content(made("scans.csv"));
  const Outcome again = run("convert odd.log --columns again.yaml --out mine --replace");
  ASSERT_EQ(again.status, 0) << again.err;
  EXPECT_EQ(content(made("wheels.csv")), wheels);
  EXPECT_EQ(content(made("scans.csv")), scans);
}

TEST_F(ConvertCommand, PrintsALoggerToBeginWith) {
  const Outcome python = run("convert --example-logger python");
  EXPECT_EQ(python.status, 0) << python.err;
  EXPECT_EQ(python.out, example_logger("python"));
  expect_refused("convert --example-logger basic", 2, "python");
  expect_refused("convert robot.log --example-logger python", 2, "--example-logger");
  expect_refused("convert robot.log --guess", 2, "--out is required");
}

TEST_F(ConvertCommand, AGuessOrColumnsAreNeeded) {
  const Outcome neither = run("convert robot.log --out mine");
  EXPECT_EQ(neither.status, 2);
  EXPECT_NE(neither.err.find("--columns"), std::string::npos) << neither.err;
  EXPECT_NE(neither.err.find("--guess"), std::string::npos) << neither.err;
  EXPECT_EQ(run("convert robot.log --guess --columns columns.yaml --out mine").status, 2);
  std::ofstream(folder_.path() / "no_lidar.log") << "t,a\n1,2\n2,3\n3,4\n";
  const Outcome blind = run("convert no_lidar.log --guess --out mine");
  EXPECT_EQ(blind.status, 1);
  EXPECT_NE(blind.err.find("looks like a lidar's ranges"), std::string::npos) << blind.err;
  EXPECT_FALSE(fs::exists(folder_.path() / "mine"));
}

TEST_F(ConvertCommand, AFullDiskLeavesNothing) {
  const auto before = entries();
  const Outcome outcome = run("convert robot.log --columns columns.yaml --out mine", "ulimit -f 1;");
  EXPECT_EQ(outcome.status, 2) << outcome.err;
  EXPECT_NE(outcome.err.find("cannot be written"), std::string::npos) << outcome.err;
  EXPECT_EQ(entries(), before);
}

}  // namespace
}  // namespace wainscot
