#include <array>
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

// Odometry alone, with and without loop closure, and against a table: all forms, and what they write.
TEST_F(CommandLine, ComparesMapsAndPaths) {
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

TEST_F(CommandLine, ComparingWhatCannotBeCompared) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  std::ofstream(folder_.path() / "late.csv") << "time_s,x_m,y_m,heading_rad\n100,0,0,0\n101,1,0,0\n";
  expect_refused("compare flat late.csv", 2, "do not overlap");
  expect_refused("compare flat --truth late.csv", 2, "do not overlap");
  expect_refused("compare flat absent", 2, "absent: is not there");
  expect_refused("compare flat --csv same.txt --json ./same.txt", 2, "is asked for twice");
  fs::copy(folder_.path() / "flat", folder_.path() / "damaged");
  std::ofstream(folder_.path() / "damaged" / "graph.sqlite") << std::string(3000, 'x');
  expect_refused("compare flat damaged", 2, "damaged/graph.sqlite: is damaged");
  fs::remove(folder_.path() / "damaged" / "graph.sqlite");
  expect_refused("compare flat damaged", 2, "damaged/graph.sqlite: is missing from the map");
}

/// As if a second drive had joined the map `flat`: the first one's path again, a metre to the left.
void add_second_drive(const fs::path& map) {
  for (const char* name : {"trajectory.csv", "odometry.csv"}) {
    std::istringstream rows(content(map / name));
    std::ofstream file(map / name, std::ios::app);
    std::string row;
    std::getline(rows, row);
    while (std::getline(rows, row)) {
      std::istringstream cells(row);
      std::array<std::string, 4> cell;
      for (std::string& text : cell) std::getline(cells, text, ',');
      file << fmt::format("{},{},{:.6f},{},2\n", cell[0], cell[1], std::stod(cell[2]) + 1.0, cell[3]);
    }
  }
}

TEST_F(CommandLine, OfSeveralDrivesAllAreDrawnAndOneIsCompared) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  ASSERT_EQ(run("draw flat --out one.svg").status, 0);
  add_second_drive(folder_.path() / "flat");
  const Outcome drawn = run("draw flat --out two.svg");
  ASSERT_EQ(drawn.status, 0) << drawn.err;
  EXPECT_EQ(drawn.err.rfind("Written to two.svg (simulated).", 0), 0U) << drawn.err;
  const auto count = [this](const std::string& name, const std::string& part) {
    const std::string text = content(folder_.path() / name);
    std::size_t found = 0;
    for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++found;
    return found;
  };
  EXPECT_EQ(count("one.svg", "<polyline class=\"line s0\""), 1U);
  EXPECT_EQ(count("two.svg", "<polyline class=\"line s0\""), 2U);
  EXPECT_EQ(count("two.svg", "<polyline class=\"line s1\""), 2U);
  EXPECT_EQ(count("two.svg", "starts of the drives"), 1U);
  EXPECT_EQ(run("draw flat --out two.png").status, 0);

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
TEST_F(CommandLine, ATruthThatIsNoneOfTheDriveIsDoubted) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  write("other.csv", "time_s,x_m,y_m,heading_rad\n0,0,0,0\n2,20,0,0\n4.5,0,0,0\n");
  const Outcome doubted = run("compare flat --truth drive/other.csv");
  EXPECT_EQ(doubted.status, 0);
  EXPECT_NE(doubted.err.find("is that the truth of this drive?"), std::string::npos) << doubted.err;
}

TEST_F(CommandLine, ATruthThatWasMovedIsStillOfASimulatedDrive) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  std::ofstream(folder_.path() / "path.csv") << replaced(truth(), "# simulated\n", "");
  EXPECT_EQ(run("compare flat --truth path.csv").out.rfind("Simulated drive", 0), 0U);
}

}  // namespace
}  // namespace wainscot
