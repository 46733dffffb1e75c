// The command `export`, run with the real program as a user runs it.

#include <array>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "tests/apps/command_line.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

class ExportCommand : public CommandLine {};

TEST_F(ExportCommand, ExportsAMap) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  std::ofstream(folder_.path() / "mine.yaml.template") << "cell: {{cell_size_m}}\nimage: {{image}}\n";
  const Outcome exported =
      run("export flat --out hand --image tif --levels 10,240,100 --clearance pgm --template mine.yaml.template");
  ASSERT_EQ(exported.status, 0) << exported.err;
  for (const char* name : {"map.tif", "map.tfw", "plan.svg", "plan.dxf", "walls.csv", "caution.txt", "clearance.pgm",
                           "clearance.wld", "clearance.yaml", "mine.yaml"}) {
    EXPECT_TRUE(fs::exists(folder_.path() / "hand" / name)) << name;
    EXPECT_NE(exported.out.find(std::string("hand/") + name + "\n"), std::string::npos) << name;
  }
  EXPECT_EQ(content(folder_.path() / "hand" / "mine.yaml"), "cell: 0.05\nimage: map.tif\n");
  EXPECT_NE(exported.err.find("Caution: "), std::string::npos);
  EXPECT_NE(exported.err.find("(simulated)"), std::string::npos);
  EXPECT_NE(content(folder_.path() / "hand" / "caution.txt").find("stop switch"), std::string::npos);
}

TEST_F(ExportCommand, ExportRefusesWrongInput) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  std::ofstream(folder_.path() / "bad.txt") << "\n{{cellsize}}\n";
  std::ofstream(folder_.path() / "walls.csv") << "{{rows}}\n";
  expect_refused("export flat --out hand --template bad.txt", 2, "bad.txt:2: there is no placeholder {{cellsize}}");
  expect_refused("export flat --out hand --template walls.csv", 2, "is asked for twice");
  expect_refused("export flat --out hand --template absent", 2, "absent");
  expect_refused("export flat --out hand --levels 1,2", 2, "three different whole numbers");
  expect_refused("export flat --out hand --levels 1,2,256", 2, "three different whole numbers");
  expect_refused("export flat --out hand --levels 1,2,2", 2, "three different whole numbers");
  expect_refused("export flat --out hand --image jpg", 2, "jpg");
  expect_refused("export flat --out absent/hand", 2, "cannot be made");
  expect_refused("export absent --out hand", 2, "absent: is not there");
  expect_refused("export flat --out ''", 2, "is empty");
  expect_refused("export flat --out flat/", 2, "is the map's own folder");
  ASSERT_EQ(run("export flat --out hand").status, 0);
  expect_refused("export flat --out hand", 2, "exists already; give --replace");
  EXPECT_EQ(run("export flat --out hand --replace").status, 0);
  fs::remove(folder_.path() / "flat" / "graph.sqlite");
  expect_refused("export flat --out other", 2, "graph.sqlite: is missing from the map");
}

// The grid shows the house as it was seen last: what has gone from it is no wall, though earlier scans lie on it.
TEST_F(ExportCommand, WhatHasGoneIsNotExported) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  take_all_walls_away(folder_.path() / "flat");
  const Outcome exported = run("export flat --out hand");
  EXPECT_EQ(exported.status, 0) << exported.err;
  EXPECT_EQ(exported.err.rfind("0 walls in hand (simulated).\nNot among them: ", 0), 0U) << exported.err;
  expect_refused("export flat --out other --clearance tif", 1, "the map has no wall");
}

// Behind the sofa of the demonstration the wall is seen through a gap only: cells, but no line.
TEST_F(ExportCommand, WallsWithoutALineAreToldAndDrawn) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  const Outcome exported = run("export flat --out hand");
  EXPECT_NE(exported.err.find("of wall for a line, in "), std::string::npos) << exported.err;
  EXPECT_NE(content(folder_.path() / "hand" / "plan.svg").find("<path class=\"lineless\""), std::string::npos);
}

// P5, the size, 255, then one byte a cell (netpbm, "pgm format specification").
TEST_F(ExportCommand, TheImageHasTheLevelsAskedFor) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  ASSERT_EQ(run("export flat --out hand --image pgm --levels 10,240,100").status, 0);
  const std::string image = content(folder_.path() / "hand" / "map.pgm");
  ASSERT_EQ(image.rfind("P5\n", 0), 0U);
  const std::string cells = image.substr(image.find("255\n") + 4);
  int darkest = 255;
  int brightest = 0;
  std::size_t unseen = 0;
  for (const char cell : cells) {
    const int level = static_cast<unsigned char>(cell);
    darkest = std::min(darkest, level);
    brightest = std::max(brightest, level);
    unseen += level == 100 ? 1U : 0U;
  }
  // What is not quite sure lies between.
  EXPECT_GE(darkest, 10);
  EXPECT_LE(darkest, 30);
  EXPECT_LE(brightest, 240);
  EXPECT_GE(brightest, 220);
  EXPECT_GT(unseen, 0U);
}

// The room's faces in the map's frame, which begins 0.05 m from where the ranges are reckoned from.
TEST_F(ExportCommand, TheWallsAreThoseOfTheRoom) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  const Outcome exported = run("export flat --out hand");
  ASSERT_EQ(exported.status, 0) << exported.err;
  EXPECT_EQ(exported.err.rfind("4 walls in hand (simulated).\n", 0), 0U) << exported.err;
  std::istringstream rows(content(folder_.path() / "hand" / "walls.csv"));
  std::string row;
  while (std::getline(rows, row) && row.starts_with('#')) {  // simulated, and the caution
  }
  EXPECT_EQ(row.rfind("wall,x1_m,y1_m,x2_m,y2_m,length_m,", 0), 0U) << row;
  std::array<int, 4> found{};  // west, east, south, north
  double longer_m = 1e9;
  while (std::getline(rows, row)) {
    std::istringstream cells(row);
    std::array<double, 6> cell{};
    char comma = 0;
    for (double& value : cell) cells >> value >> comma;
    EXPECT_NEAR(std::hypot(cell[3] - cell[1], cell[4] - cell[2]), cell[5], 0.001) << row;
    EXPECT_LE(cell[5], longer_m) << "the longest first";
    longer_m = cell[5];
    const auto along = [](double a, double b, double face) { return std::abs(a - face) + std::abs(b - face) < 0.02; };
    found[0] += along(cell[1], cell[3], -1.55) ? 1 : 0;
    found[1] += along(cell[1], cell[3], 2.95) ? 1 : 0;
    found[2] += along(cell[2], cell[4], -1.0) ? 1 : 0;
    found[3] += along(cell[2], cell[4], 2.0) ? 1 : 0;
  }
  EXPECT_EQ(found, (std::array<int, 4>{1, 1, 1, 1}));
}

}  // namespace
}  // namespace wainscot
