// The command `extend`, run with the real program as a user runs it.

#include <filesystem>
#include <fstream>
#include <string>

#include <gtest/gtest.h>

#include "tests/apps/command_line.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

class ExtendCommand : public CommandLine {};

// The room is one box of 4.5 m: too little to be told from any other, so nothing can join its map.
TEST_F(ExtendCommand, ExtendRefusesWhatDoesNotJoinAndLeavesTheOldMap) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  expect_refused("extend flat drive --out new", 2, "is in the map already, as drive 1");
  expect_refused("extend flat nowhere --out new", 2, "nowhere");
  expect_refused("extend nowhere drive --out new", 2, "nowhere");
  expect_refused("extend flat drive --out flat", 2, "is the map that is to be extended");
  expect_refused("extend flat drive --out ./flat/ --replace", 2, "is the map that is to be extended");
  expect_refused("extend flat --out new", 2, "DRIVE");
  fs::copy(drive_, folder_.path() / "other");
  std::ofstream(folder_.path() / "other" / "wheels.csv", std::ios::app) << "4.6,1138,1138\n";
  const std::string before = content(folder_.path() / "flat" / "graph.sqlite");
  expect_refused("extend flat other --out new --quiet", 1, "other does not join the map");
  expect_refused("extend flat other other --out new --quiet", 2, "is in the map already, as drive 2");
  std::ofstream(folder_.path() / "other" / "robot.yaml", std::ios::trunc)
      << replaced(read("robot.yaml"), "track_width_m: 0.3", "track_width_m: 0.5");
  expect_refused("extend flat other --out new", 1, "drive.track_width_m");
  EXPECT_EQ(content(folder_.path() / "flat" / "graph.sqlite"), before);
}

// Three rooms that open into each other, driven on two days.
TEST_F(ExtendCommand, AnotherDayJoinsTheMap) {
  write(
      "../plan.yaml",
      "wainscot_plan: 1\nwalls:\n  - {from: [-0.1, 0], to: [6.1, 0], thickness_m: 0.2}\n"
      "  - {from: [6, -0.1], to: [6, 4.1], thickness_m: 0.2}\n  - {from: [-0.1, 4], to: [6.1, 4], thickness_m: 0.2}\n"
      "  - {from: [0, -0.1], to: [0, 4.1], thickness_m: 0.2}\n  - {from: [2.5, 0], to: [2.5, 2.2], thickness_m: 0.1}\n"
      "  - {from: [4.2, 4], to: [4.2, 2.6], thickness_m: 0.1}\n"
      "route: [[1, 1], [1, 3], [3.3, 3.2], [3.3, 1], [5.2, 1], [5.2, 3.2], [5.2, 1.2], [3.3, 1], [3.3, 3.0], [1.2, 3], "
      "[1.2, 1]]\n");
  ASSERT_EQ(run("simulate plan.yaml --seed 1 --out monday").status, 0);
  ASSERT_EQ(run("simulate plan.yaml --seed 2 --out tuesday").status, 0);
  // The drive begins at (1, 1) and looks along y: the left room, 2.45 m by 4 m less its walls.
  std::ofstream(folder_.path() / "tapes.csv") << "name,x1_m,y1_m,x2_m,y2_m,tape_m\nacross,0,0.85,0,-1.4,2.35\n";
  ASSERT_EQ(run("build monday --out flat --cell-size 0.04 --quiet --tapes tapes.csv").status, 0);
  const std::string before = content(folder_.path() / "flat" / "graph.sqlite");

  const Outcome extended = run("extend flat tuesday --out flat-2");
  ASSERT_EQ(extended.status, 0) << extended.err;
  EXPECT_EQ(extended.out, "");
  EXPECT_EQ(extended.err.rfind("Verdict: ", 0), 0U) << extended.err;
  EXPECT_NE(extended.err.find("Warning: the 1 tape that held the old map's scale takes no part in this one"),
            std::string::npos)
      << extended.err;
  EXPECT_NE(extended.err.find("\nA map of 2 drives (simulated): "), std::string::npos) << extended.err;
  EXPECT_NE(extended.err.find("\n  drive 2, tuesday: "), std::string::npos) << extended.err;
  EXPECT_NE(extended.err.find("Caution: "), std::string::npos) << extended.err;
  EXPECT_EQ(content(folder_.path() / "flat" / "graph.sqlite"), before) << "the old map stays as it is";
  EXPECT_NE(content(folder_.path() / "flat-2" / "grid.yaml").find("cell_size_m: 0.04\n"), std::string::npos);

  // Each drive's path lies as near to its own truth as in a map of its own.
  for (const char* drive : {"1", "2"}) {
    const std::string day = std::string(drive) == "1" ? "monday" : "tuesday";
    ASSERT_EQ(
        run("compare flat-2 --drive " + std::string(drive) + " --truth " + day + "/truth.csv --csv " + day + ".csv")
            .status,
        0);
    const std::string figures = content(folder_.path() / (day + ".csv"));
    const std::string name = "position_rmse_m,";
    ASSERT_NE(figures.find(name), std::string::npos) << figures;
    EXPECT_LT(std::stod(figures.substr(figures.find(name) + name.size())), 0.05) << day;
  }
  expect_refused("extend flat-2 monday --out flat-3", 2, "is in the map already, as drive 1");
  expect_refused("extend flat tuesday --out flat-2", 2, "--replace");
  EXPECT_EQ(run("extend flat tuesday --out flat-2 --replace --quiet --threads 1").err, "");
}

TEST_F(ExtendCommand, WrongOptions) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  expect_refused("extend flat drive", 2, "--out");
  expect_refused("extend flat drive --out new --threads 0", 2, "--threads");
  expect_refused("extend flat drive --out absent/new", 2, "make it first");
  expect_refused("extend drive drive --out new", 2, "drive: is the folder of a drive, not of a map");
}

}  // namespace
}  // namespace wainscot
