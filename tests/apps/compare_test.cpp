// The command `compare`, run with the real program as a user runs it.

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "tests/apps/command_line.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

class CompareCommand : public CommandLine {
 protected:
  /// The drive's scans in a round room of 2.5 m around (0.5, 0) instead.
  static std::string scans_of_round_room() {
    std::string text = "time_s";
    for (int beam = 0; beam < 120; ++beam) text += fmt::format(",{}", 3 * beam);
    for (int i = 0; i < drive_scans; ++i) {
      const double time_s = 0.2 + 0.1 * i;
      const double x_m = 0.25 * time_s - 0.5;  // from the middle
      text += fmt::format("\n{:.1f}", time_s);
      for (int beam = 0; beam < 120; ++beam) {
        const double angle_rad = 3 * beam * std::acos(-1.0) / 180.0;
        const double along_m = x_m * std::cos(angle_rad);
        const double across_m = x_m * std::sin(angle_rad);
        text += fmt::format(",{:.3f}", std::sqrt(2.5 * 2.5 - across_m * across_m) - along_m);
      }
    }
    return text + "\n";
  }
};

TEST_F(CompareCommand, SaysHowFarTheMapLiesFromTheTruth) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  const Outcome compare = run("compare flat --truth drive/truth.csv");
  EXPECT_EQ(compare.status, 0) << compare.err;
  EXPECT_EQ(compare.err, "To see where: the same command with --page comparison.html, a page for any browser.\n");
  EXPECT_EQ(compare.out.rfind("Simulated drive", 0), 0U);
  EXPECT_NE(compare.out.find("odometry alone"), std::string::npos);
}

// Odometry alone, with and without loop closure, and against a table: all forms, and what they write.
TEST_F(CompareCommand, ComparesMapsAndPaths) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  ASSERT_EQ(run("build drive --out without --no-loop-closure --quiet").status, 0);
  const Outcome alone = run("compare flat --csv a.csv --json a.json --page a.html --svg plots");
  ASSERT_EQ(alone.status, 0) << alone.err;
  EXPECT_NE(alone.out.find("Distance from the path found"), std::string::npos);
  EXPECT_EQ(content(folder_.path() / "a.csv").rfind("compared,reference,figure,value\nodometry alone,", 0), 0U);
  EXPECT_NE(content(folder_.path() / "a.json").find("\"position_rmse_m\""), std::string::npos);
  EXPECT_NE(content(folder_.path() / "a.html").find("</html>"), std::string::npos);
  for (const std::string name : {"paths", "position", "heading", "stretches"}) {
    EXPECT_NE(content(folder_.path() / "plots" / (name + ".svg")).find("</svg>"), std::string::npos) << name;
  }
  expect_refused("compare flat --csv b.csv --page a.html", 2, "a.html: exists already; give --replace");
  EXPECT_EQ(run("compare flat --page a.html --replace").status, 0);

  const Outcome maps = run("compare without flat/ --truth drive/truth.csv");
  ASSERT_EQ(maps.status, 0) << maps.err;
  EXPECT_NE(maps.out.find("without: found"), std::string::npos);
  EXPECT_NE(maps.out.find("flat: odometry alone"), std::string::npos);
  EXPECT_NE(maps.out.find("Walls of without (first) and flat (second)"), std::string::npos);
  EXPECT_EQ(run("compare without flat").status, 0);
  EXPECT_EQ(run("compare flat drive/truth.csv").status, 0);
  EXPECT_EQ(run("compare flat/odometry.csv flat/trajectory.csv").status, 0);
  expect_refused("compare flat/odometry.csv", 2, "is one path; give a second one");
}

TEST_F(CompareCommand, ComparingWhatCannotBeCompared) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  std::ofstream(folder_.path() / "late.csv") << "time_s,x_m,y_m,heading_rad\n100,0,0,0\n101,1,0,0\n";
  expect_refused("compare flat late.csv", 2, "do not overlap");
  expect_refused("compare flat --truth late.csv", 2, "do not overlap");
  expect_refused("compare flat absent", 2, "absent: is not there");
  expect_refused("compare absent --truth drive/truth.csv", 2, "absent: is not there");
  expect_refused("compare flat --csv same.txt --json ./same.txt", 2, "is asked for twice");
  fs::copy(folder_.path() / "flat", folder_.path() / "damaged");
  std::ofstream(folder_.path() / "damaged" / "graph.sqlite") << std::string(3000, 'x');
  expect_refused("compare flat damaged", 2, "damaged/graph.sqlite: is damaged");
  fs::remove(folder_.path() / "damaged" / "graph.sqlite");
  expect_refused("compare flat damaged", 2, "damaged/graph.sqlite: is missing from the map");
}

TEST_F(CompareCommand, OfSeveralDrivesOneIsCompared) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  add_second_drive(folder_.path() / "flat");
  const Outcome first = run("compare flat");
  EXPECT_NE(first.err.find("flat has 2 drives: the path of drive 1 is compared; --drive N for another."),
            std::string::npos)
      << first.err;
  EXPECT_NE(first.out.find("Distance from the path found of drive 1 "), std::string::npos);
  const Outcome second = run("compare flat --drive 2");
  EXPECT_EQ(second.status, 0) << second.err;
  EXPECT_EQ(second.err.find("has 2 drives"), std::string::npos);
  EXPECT_NE(second.out.find("Distance from the path found of drive 2 "), std::string::npos);
  EXPECT_EQ(run("compare flat/trajectory.csv drive/truth.csv --drive 2").status, 0);
  expect_refused("compare flat --drive 3", 2, "flat: has no drive 3, only 2 drives");
}

// A truth far off is most often that of another drive.
TEST_F(CompareCommand, ATruthThatIsNoneOfTheDriveIsDoubted) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  write("other.csv", "time_s,x_m,y_m,heading_rad\n0,0,0,0\n2,20,0,0\n4.5,0,0,0\n");
  const Outcome doubted = run("compare flat --truth drive/other.csv");
  EXPECT_EQ(doubted.status, 0);
  EXPECT_NE(doubted.err.find("is that the truth of this drive?"), std::string::npos) << doubted.err;
}

TEST_F(CompareCommand, ATruthThatWasMovedIsStillOfASimulatedDrive) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  std::ofstream(folder_.path() / "path.csv") << replaced(truth(), "# simulated\n", "");
  EXPECT_EQ(run("compare flat --truth path.csv").out.rfind("Simulated drive", 0), 0U);
}

TEST_F(CompareCommand, WrongOptions) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  expect_refused("compare", 2, "MAP");
  expect_refused("compare flat --drive 0", 2, "--drive");
  expect_refused("compare flat --drive two", 2, "--drive");
  expect_refused("compare flat flat flat", 2, "one word too many");
  expect_refused("compare flat --csv", 2, "--csv");
}

TEST_F(CompareCommand, MapsOfTwoHousesEndWithStatusOne) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  write("scans.csv", scans_of_round_room());
  ASSERT_EQ(run("build drive --out round --quiet").status, 0);
  expect_refused("compare flat round", 1, "share too few walls to be laid over each other");
}

// The same drive with another clock is another drive, in the same house.
TEST_F(CompareCommand, OfMapsOfTwoDrivesTheWallsAreCompared) {
  ASSERT_EQ(run("build drive --out monday --quiet").status, 0);
  replace("wheels.csv", "0.10,25,25", "0.10,25,26");
  ASSERT_EQ(run("build drive --out friday --quiet").status, 0);
  const Outcome walls = run("compare monday friday");
  EXPECT_EQ(walls.status, 0) << walls.err;
  EXPECT_NE(walls.out.find("Walls of monday (first) and friday (second)"), std::string::npos) << walls.out;
  EXPECT_EQ(walls.out.find("Distance from the path"), std::string::npos) << walls.out;
  EXPECT_NE(run("compare monday friday --drive 1").err.find("Drive 1 of monday is not in friday"), std::string::npos);
  expect_refused("compare monday friday --truth drive/truth.csv", 2, "the two maps are of different drives");
}

}  // namespace
}  // namespace wainscot
