// The command `locate`, run with the real program as a user runs it.

#include <algorithm>
#include <cmath>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "tests/apps/command_line.hpp"

namespace wainscot {
namespace {

class LocateCommand : public CommandLine {};

/// The scans of the room with a wall across one corner, without which it would look the same from both ends.
std::string scans_of_cut_room(int count) {
  std::string text = "time_s";
  for (int beam = 0; beam < 120; ++beam) text += fmt::format(",{}", 3 * beam);
  for (int i = 0; i < count; ++i) {
    const double time_s = 0.2 + 0.1 * i;
    text += fmt::format("\n{:.1f}", time_s);
    for (int beam = 0; beam < 120; ++beam) {
      const double angle = 3 * beam * std::acos(-1.0) / 180.0;
      const double towards = std::cos(angle) + std::sin(angle);  // the corner; the wall stands where x + y = 3.5
      const double cut = towards > 1e-9 ? (3.5 - 0.25 * time_s) / towards : 1e9;
      text += fmt::format(",{:.3f}", std::min(cut, range_in_room(0.25 * time_s, 0.0, angle)));
    }
  }
  return text + "\n";
}

TEST_F(LocateCommand, LocatesADriveInAMap) {
  write("scans.csv", scans_of_cut_room(drive_scans));
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  const Outcome outcome = run("locate flat drive");
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  EXPECT_EQ(outcome.out.rfind("time_s,x_m,y_m,heading_rad,sd_x_m,sd_y_m,sd_heading_rad,answer\n", 0), 0U);
  EXPECT_EQ(std::count(outcome.out.begin(), outcome.out.end(), '\n'), drive_scans + 1);
  EXPECT_NE(outcome.out.find(",found\n"), std::string::npos) << outcome.out;
  EXPECT_EQ(outcome.err.rfind("Simulated drive: ", 0), 0U) << outcome.err;
  EXPECT_NE(outcome.err.find("the first scan.\n"), std::string::npos) << outcome.err;
  EXPECT_NE(outcome.err.find("\nCaution: "), std::string::npos) << outcome.err;
}

TEST_F(LocateCommand, ARoomThatLooksTheSameFromBothEndsIsAmbiguous) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  const Outcome likeliest = run("locate flat drive --quiet");
  EXPECT_EQ(likeliest.status, 1);
  EXPECT_NE(likeliest.err.find("--all lists the places"), std::string::npos) << likeliest.err;
  EXPECT_EQ(std::count(likeliest.out.begin(), likeliest.out.end(), '\n'), drive_scans + 1);
  EXPECT_EQ(likeliest.out.find(",found\n"), std::string::npos) << likeliest.out;
  const Outcome all = run("locate flat drive --quiet --all");
  EXPECT_EQ(all.status, 1);
  EXPECT_GE(std::count(all.out.begin(), all.out.end(), '\n'), 2 * drive_scans);
}

TEST_F(LocateCommand, ADriveThatFitsNowhereEndsWithStatusOne) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  replace("robot.yaml", "  sweep_s: 0\n", "  sweep_s: 0\n  range_scale: 0.6\n");
  const Outcome outcome = run("locate flat drive --quiet");
  EXPECT_EQ(outcome.status, 1);
  EXPECT_EQ(outcome.out.find(",found\n"), std::string::npos) << outcome.out;
  EXPECT_EQ(outcome.err.rfind("wainscot: ", 0), 0U) << outcome.err;
  EXPECT_EQ(std::count(outcome.err.begin(), outcome.err.end(), '\n'), 1) << outcome.err;
}

TEST_F(LocateCommand, LocateRefusesWrongInput) {
  expect_refused("locate", 2, "MAP");
  expect_refused("locate nowhere drive", 2, "wainscot build");
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  expect_refused("locate flat nowhere", 2, "is not a folder");
  expect_refused("locate flat drive --al", 2, "did you mean --all");
  write("scans.csv", scans(drive_scans, false));
  expect_refused("locate flat drive --quiet", 1, "20 returns");
}

}  // namespace
}  // namespace wainscot
