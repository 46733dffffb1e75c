#include <algorithm>
#include <string>

#include <gtest/gtest.h>

#include "tests/apps/command_line.hpp"

namespace wainscot {
namespace {

// The room is 4.5 m by 3 m; the map begins 0.05 m from where the ranges are reckoned from.
TEST_F(CommandLine, MeasuresBetweenWalls) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  const Outcome tape = run("measure flat -1.5,0.5 2.9,0.6");
  EXPECT_EQ(tape.status, 0) << tape.err;
  EXPECT_EQ(tape.out.rfind("name,distance_m,standard_uncertainty_m\ntape,4.", 0), 0U) << tape.out;
  EXPECT_NEAR(std::stod(tape.out.substr(tape.out.find("tape,") + 5)), 4.5, 0.03);
  EXPECT_NE(tape.err.find("square across from wall face to wall face"), std::string::npos) << tape.err;
  EXPECT_NE(tape.err.find("Simulated drive"), std::string::npos);

  const Outcome room = run("measure flat --room 0.5,0.4");
  EXPECT_EQ(room.status, 0) << room.err;
  EXPECT_NEAR(std::stod(room.out.substr(room.out.find("width,") + 6)), 4.5, 0.03);
  EXPECT_NEAR(std::stod(room.out.substr(room.out.find("depth,") + 6)), 3.0, 0.03);

  write("tapes.csv",
        "name,x1_m,y1_m,x2_m,y2_m,tape_m\nlong,-1.5,0.5,2.9,0.6,4.5\nshort,0.5,-1,0.5,2,3\nfar,30,0,31,0,1\n");
  const Outcome tapes = run("measure flat --tapes drive/tapes.csv");
  EXPECT_EQ(tapes.status, 0) << tapes.err;
  EXPECT_EQ(std::count(tapes.out.begin(), tapes.out.end(), '\n'), 4);
  EXPECT_NE(tapes.out.find("\nfar,,,1,\n"), std::string::npos) << tapes.out;
  EXPECT_NE(tapes.err.find("far: no wall within 0.40 m of its first point"), std::string::npos) << tapes.err;
  EXPECT_NE(tapes.err.find("Map and tape "), std::string::npos) << tapes.err;
  const Outcome lines = run("measure flat --tapes drive/tapes.csv --robot-lines");
  EXPECT_EQ(lines.status, 0) << lines.err;
  EXPECT_EQ(lines.out.rfind("drive:\n  left_m_per_tick: ", 0), 0U) << lines.out;
}

TEST_F(CommandLine, MeasureRefusesWhatItCannotTell) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  expect_refused("measure flat", 2, "two points X1,Y1 X2,Y2");
  expect_refused("measure flat 1,1", 2, "only one was given");
  expect_refused("measure flat 1,1 2,three", 2, "2,three is not a point");
  expect_refused("measure flat 1,1 1,1", 2, "both points are the same");
  expect_refused("measure flat 1,1 2,2 --room 1,1", 2, "one of these");
  expect_refused("measure flat 1,1 2,2 --robot-lines", 2, "--tapes");
  expect_refused("measure flat --tapes absent.csv", 2, "absent.csv");
  expect_refused("measure flat 1,1 2,2 --tape-sd 0", 2, "--tape-sd");
  expect_refused("measure drive 1,1 2,2", 2, "drive: is the folder of a drive, not of a map");
  const Outcome nowhere = run("measure flat 30,0 31,0");
  EXPECT_EQ(nowhere.status, 1);
  EXPECT_EQ(nowhere.out, "name,distance_m,standard_uncertainty_m\ntape,,\n");
  EXPECT_NE(nowhere.err.find("the nearest is"), std::string::npos) << nowhere.err;
}

}  // namespace
}  // namespace wainscot
