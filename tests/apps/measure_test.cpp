// The command `measure`, run with the real program as a user runs it.

#include <algorithm>
#include <string>

#include <gtest/gtest.h>

#include "tests/apps/command_line.hpp"

namespace wainscot {
namespace {

class MeasureCommand : public CommandLine {};

// The room is 4.5 m by 3 m; the map begins 0.05 m from where the ranges are reckoned from.
TEST_F(MeasureCommand, MeasuresBetweenWalls) {
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

TEST_F(MeasureCommand, MeasureRefusesWhatItCannotTell) {
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

// The grid shows the house as it was seen last: what has gone from it is no wall, though earlier scans lie on it.
TEST_F(MeasureCommand, WhatHasGoneIsNotMeasuredTo) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  take_all_walls_away(folder_.path() / "flat");
  const Outcome measured = run("measure flat -1.5,0.5 2.9,0.6");
  EXPECT_EQ(measured.status, 1);
  EXPECT_NE(measured.err.find("Not measured to: "), std::string::npos) << measured.err;
}

TEST_F(MeasureCommand, WrongOptions) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  expect_refused("measure", 2, "MAP");
  expect_refused("measure absent 1,1 2,2", 2, "absent");
  expect_refused("measure flat --room 1", 2, "1 is not a point");
  expect_refused("measure flat 1,1 2,2 3,3", 2, "write each point as X,Y");
  expect_refused("measure flat 1 1 2 2", 2, "write each point as X,Y");
  expect_refused("measure flat 1,1 2,2 --tape-sd 2", 2, "0.0001 to 1");
  expect_refused("measure flat 1,1 2,2 --tape-sd thin", 2, "0.0001 to 1");
  expect_refused("measure flat --room 40,40", 1, "no two walls that look at one another");
}

TEST_F(MeasureCommand, WithoutTapesWordThereAreNoLinesForTheRobot) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  write("tapes.csv", "name,x1_m,y1_m,x2_m,y2_m\nlong,-1.5,0.5,2.9,0.6\n");
  const Outcome lines = run("measure flat --tapes drive/tapes.csv --robot-lines");
  EXPECT_EQ(lines.status, 1);
  EXPECT_EQ(lines.out, "");
  EXPECT_NE(lines.err.find("drive/tapes.csv: has no tape_m"), std::string::npos) << lines.err;
}

// All tapes say 4 % less than the map.
TEST_F(MeasureCommand, TapesThatContradictTheMapAreHeard) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  write("tapes.csv",
        "name,x1_m,y1_m,x2_m,y2_m,tape_m\nlong,-1.5,0.5,2.9,0.6,4.32\nshort,0.5,-1,0.5,2,2.88\n"
        "long again,-1.5,0.1,2.9,0.1,4.32\n");
  const Outcome apart = run("measure flat --tapes drive/tapes.csv");
  EXPECT_EQ(apart.status, 0) << apart.err;
  EXPECT_NE(apart.err.find("Map and tape do not agree"), std::string::npos) << apart.err;
  EXPECT_NE(apart.err.find("the same command with --robot-lines"), std::string::npos) << apart.err;
}

}  // namespace
}  // namespace wainscot
