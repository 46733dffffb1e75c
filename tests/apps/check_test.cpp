// The command `check`, run with the real program as a user runs it.

#include <cmath>
#include <filesystem>
#include <sstream>
#include <string>

#include <gtest/gtest.h>

#include "tests/apps/command_line.hpp"
#include "tests/apps/memory_limit.hpp"

namespace wainscot {
namespace {

class CheckCommand : public CommandLine {};

TEST_F(CheckCommand, ChecksALog) {
  const Outcome sound = run("check drive");
  EXPECT_EQ(sound.status, 0) << sound.err;
  EXPECT_EQ(sound.err, "");
  EXPECT_EQ(sound.out.rfind("drive (simulated): ", 0), 0U) << sound.out;
  EXPECT_NE(sound.out.find("hardly turned"), std::string::npos) << sound.out;
  EXPECT_NE(sound.out.find("wainscot build drive"), std::string::npos);

  replace("robot.yaml", "  sweep_s: 0\n", "  sweep_s: 0\n  range_unit_m: 0.001\n");
  const Outcome wrong_unit = run("check drive");
  EXPECT_EQ(wrong_unit.status, 0);
  EXPECT_NE(wrong_unit.out.find("robot.yaml, under lidar:   range_unit_m: 1\n"), std::string::npos) << wrong_unit.out;
  EXPECT_NE(wrong_unit.out.find("Caution: "), std::string::npos);
  EXPECT_EQ(wrong_unit.err.rfind("Warning: ", 0), 0U) << wrong_unit.err;

  const Outcome json = run("check drive --json --quiet --threads 2");
  EXPECT_EQ(json.status, 0);
  EXPECT_EQ(json.err, "");
  EXPECT_EQ(json.out.rfind("{\n  \"wainscot_check\": 1,", 0), 0U) << json.out;
  EXPECT_NE(json.out.find("\"fault\": \"range_unit\""), std::string::npos);
}

TEST_F(CheckCommand, ALogThatTellsNothingIsPoorData) {
  write("scans.csv", scans(drive_scans, false));
  expect_refused("check drive --quiet", 1, "tells nothing");
}

TEST_F(CheckCommand, DrawsTheLog) {
  const Outcome plain = run("check drive --quiet");
  const Outcome drawn = run("check drive --quiet --plot look.svg");
  EXPECT_EQ(drawn.status, 0) << drawn.err;
  EXPECT_EQ(drawn.out, plain.out) << "what is found does not depend on the picture";
  const std::string svg = read("../look.svg");
  EXPECT_EQ(svg.rfind("<?xml", 0), 0U);
  EXPECT_NE(svg.find("The log of drive (simulated)"), std::string::npos);
  EXPECT_NE(svg.find("Speed, m/s"), std::string::npos);
  EXPECT_EQ(svg.find("nan"), std::string::npos);
  EXPECT_EQ(run("check drive --quiet --plot look.svg").status, 2) << "nothing is overwritten unasked";
  EXPECT_EQ(run("check drive --quiet --plot look.svg --replace --threads 1").status, 0);
  EXPECT_EQ(read("../look.svg"), svg);
  EXPECT_EQ(run("check drive --quiet --plot absent/look.svg").status, 2);
}

TEST_F(CheckCommand, DrawsALogThatCannotBeChecked) {
  write("wheels.csv", "time_s,left_ticks,right_ticks\n0.0,0,0\n0.5,20,20\n");
  write("scans.csv", scans(2, true));
  const Outcome two_rows = run("check drive --quiet --plot look.svg");
  EXPECT_EQ(two_rows.status, 1) << two_rows.err;
  EXPECT_NE(two_rows.err.find("the log has 2 scans"), std::string::npos) << two_rows.err;
  const std::string svg = read("../look.svg");
  EXPECT_NE(svg.find("Not checked: the log has 2 scans"), std::string::npos) << svg;
  EXPECT_NE(svg.find("Returns a scan"), std::string::npos);

  write("scans.csv", scans(drive_scans, true));
  std::filesystem::remove(drive_ / "wheels.csv");
  EXPECT_EQ(run("check drive --quiet --plot look.svg --replace").status, 1);
  EXPECT_NE(read("../look.svg").find("by the scans"), std::string::npos) << read("../look.svg");

  write("wheels.csv", wheels());
  std::filesystem::remove(drive_ / "scans.csv");
  const Outcome no_lidar = run("check drive --quiet --plot look.svg --replace");
  EXPECT_EQ(no_lidar.status, 1);
  EXPECT_NE(no_lidar.err.find("the log has 0 scans"), std::string::npos) << no_lidar.err;
  EXPECT_NE(read("../look.svg").find("by the wheels"), std::string::npos) << read("../look.svg");
  std::filesystem::remove(drive_ / "wheels.csv");
  EXPECT_EQ(run("check drive --quiet --plot look.svg --replace").status, 2) << "nothing at all to look at";
}

// A row of wheels.csv 54 years later: it hung. The memory is limited, since it grew with the gap too.
TEST_F(CheckCommand, FindsAJumpOfTheClock) {
  write("wheels.csv", read("wheels.csv") + "1700000000.0,9999,9999\n");
  const Outcome jumped = run("check drive --quiet", memory_limit(1000) + " timeout 60");
  EXPECT_EQ(jumped.status, 0) << jumped.err;
  EXPECT_NE(jumped.out.find("1. The log's times jump: for 472222 h 13 min"), std::string::npos) << jumped.out;
  EXPECT_NE(jumped.out.find("1 jump over a minute, the longest from 4.500 s to 1700000000.000 s; checked was from "),
            std::string::npos)
      << jumped.out;
}

// They were refused; now they are named, and the rest is checked as if they were mended.
TEST_F(CheckCommand, FindsMilliseconds) {
  std::string in_milliseconds = "time_s,left_ticks,right_ticks\n";
  for (int i = 0; i <= 90; ++i) in_milliseconds += fmt::format("{},{},{}\n", 50 * i, 12 * i, 12 * i);
  write("wheels.csv", in_milliseconds);
  std::istringstream rows(scans(drive_scans, true));
  std::string text;
  std::string row;
  for (int i = 0; std::getline(rows, row); ++i) {
    text += (i == 0 ? row : fmt::format("{}{}", 100 + 100 * i, row.substr(row.find(',')))) + "\n";
  }
  write("scans.csv", text);
  std::filesystem::remove(drive_ / "truth.csv");
  const Outcome found = run("check drive --quiet", memory_limit(1000) + " timeout 60");
  EXPECT_EQ(found.status, 0) << found.err;
  EXPECT_NE(found.out.find("1. The times of the scans are in milliseconds and those of wheels.csv are in milliseconds, "
                           "not in seconds (confidence 99.9 %)"),
            std::string::npos)
      << found.out;
  EXPECT_EQ(found.out.find("\n2. "), std::string::npos) << found.out;
}

TEST_F(CheckCommand, RefusesALogOfTwoScans) {
  write("scans.csv", scans(2, true));
  expect_refused("check drive --quiet", 1, "the log has 2 scans, and a check needs 8 at least; record a longer drive");
}

// It ended as a fault of the program's own.
TEST_F(CheckCommand, ARobotThatOnlyTurnsOnTheSpot) {
  constexpr double kRate = 0.6;  // rad/s
  std::string counts = "time_s,left_ticks,right_ticks\n";
  for (int i = 0; i <= 900; ++i) {
    const long ticks = std::lround(kRate * 0.05 * i * 150.0);
    counts += fmt::format("{:.2f},{},{}\n", 0.05 * i, -ticks, ticks);
  }
  write("wheels.csv", counts);
  std::string text = scans(0, true);
  for (int i = 0; i < 440; ++i) {
    const double time_s = 0.2 + 0.1 * i;
    text += fmt::format("{:.1f}", time_s);
    for (int beam = 0; beam < 120; ++beam) {
      const double angle_rad = kRate * time_s + 3 * beam * std::acos(-1.0) / 180.0;
      text += fmt::format(",{:.3f}",
                          range_in_room(0.05 * std::cos(kRate * time_s), 0.05 * std::sin(kRate * time_s), angle_rad));
    }
    text += "\n";
  }
  write("scans.csv", text);
  std::filesystem::remove(drive_ / "truth.csv");
  const Outcome sound = run("check drive --quiet");
  EXPECT_EQ(sound.status, 0) << sound.err;
  EXPECT_NE(sound.out.find("The robot turned on the spot and hardly drove: the wheels' constants"), std::string::npos)
      << sound.out;
  EXPECT_EQ(sound.out.find("Found"), std::string::npos) << sound.out;

  replace("robot.yaml", "  sweep_s: 0\n", "  sweep_s: 0\n  mirrored: true\n");
  const Outcome mirrored = run("check drive --quiet");
  EXPECT_EQ(mirrored.status, 0) << mirrored.err;
  EXPECT_NE(mirrored.out.find("1. The lidar's angles run the other way round"), std::string::npos) << mirrored.out;
}

TEST_F(CheckCommand, CheckRefusesWrongInput) {
  expect_refused("check nowhere", 2, "is not a folder");
  expect_refused("check", 2, "DRIVE");
  expect_refused("check drive --jsn", 2, "did you mean --json");
  write("wheels.csv", "time_s,left_ticks\n1,2\n");
  expect_refused("check drive", 2, "right_ticks");
}

TEST_F(CheckCommand, ThreadsChangeNoByteAndAreCounted) {
  const Outcome one = run("check drive --json --quiet --threads 1");
  EXPECT_EQ(one.status, 0) << one.err;
  EXPECT_EQ(run("check drive --json --quiet --threads 3").out, one.out);
  expect_refused("check drive --threads 0", 2, "--threads");
  expect_refused("check drive --threads 2000", 2, "--threads");
  expect_refused("check drive drive", 2, "one word too many");
}

TEST_F(CheckCommand, WritesNothing) {
  const auto before = entries();
  EXPECT_EQ(run("check drive").status, 0);
  EXPECT_EQ(entries(), before);
}

}  // namespace
}  // namespace wainscot
