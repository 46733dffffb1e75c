#include <filesystem>
#include <fstream>
#include <string>

#include <gtest/gtest.h>

#include "tests/apps/command_line.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

// The room is one box of 4.5 m: too little to be told from any other, so nothing can join its map.
TEST_F(CommandLine, ExtendRefusesWhatDoesNotJoinAndLeavesTheOldMap) {
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
  expect_refused("extend flat other --out new", 2, "drive.track_width_m");
  EXPECT_EQ(content(folder_.path() / "flat" / "graph.sqlite"), before);
}

}  // namespace
}  // namespace wainscot
