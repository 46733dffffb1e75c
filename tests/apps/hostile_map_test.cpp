// Map folders that somebody made to do harm, or that a program left in pieces: every command that reads a map ends
// soon, with one sentence that says what is wrong. Each case here hung, ate the memory or was believed once.

#include <filesystem>
#include <functional>
#include <string>

#include <gtest/gtest.h>
#include <sys/stat.h>

#include "tests/apps/command_line.hpp"
#include "tests/apps/memory_limit.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

class HostileMap : public CommandLine {
 protected:
  void SetUp() override { ASSERT_EQ(run("build drive --out good --quiet").status, 0); }

  /// A copy of the good map to be made hostile.
  fs::path fresh() const {
    const fs::path map = folder_.path() / "flat";
    fs::remove_all(map);
    fs::copy(folder_.path() / "good", map);
    return map;
  }
  void sql(const std::string& statements) const {
    const std::string command =
        fmt::format("sqlite3 '{}' \"{}\"", (folder_.path() / "flat/graph.sqlite").string(), statements);
    ASSERT_EQ(std::system(command.c_str()), 0) << command;
  }
  void rewrite(const std::string& name, const std::string& old_text, const std::string& new_text) const {
    const fs::path file = folder_.path() / "flat" / name;
    const std::string text = content(file);
    ASSERT_NE(text.find(old_text), std::string::npos) << old_text;
    std::ofstream(file, std::ios::binary) << replaced(text, old_text, new_text);
  }
  /// Every one of the commands refuses the map `flat` in one line, soon, in bounded memory, and nothing is made
  /// anywhere.
  void expect_refused_by(const std::vector<std::string>& commands, const std::string& part) const {
    const auto before = entries();
    for (const std::string& command : commands) {
      const Outcome outcome = run(command, memory_limit(2000) + " timeout 20");
      SCOPED_TRACE(command + "\n" + outcome.err.substr(0, 2000));
      EXPECT_EQ(outcome.status, 2);
      EXPECT_EQ(outcome.out, "");
      EXPECT_EQ(std::count(outcome.err.begin(), outcome.err.end(), '\n'), 1);
      EXPECT_NE(outcome.err.find(part), std::string::npos) << "expected: " << part;
      EXPECT_EQ(entries(), before);
    }
  }

  const std::vector<std::string> all_ = {"draw flat --out a.svg",   "compare flat --csv a.csv",
                                         "measure flat --room 0,0", "export flat --out a",
                                         "locate flat drive",       "extend flat drive --out a --quiet"};
  const std::vector<std::string> of_graph_ = {all_.begin() + 2, all_.end()};
  // For cases that differ in what they find only.
  const std::vector<std::string> measure_ = {"measure flat --room 0,0"};
  const std::vector<std::string> draw_and_measure_ = {"draw flat --out a.svg", "measure flat --room 0,0"};
};

TEST_F(HostileMap, PipesInPlaceOfFiles) {
  for (const std::string name : {"grid.yaml", "grid.pgm", "trajectory.csv", "odometry.csv", "graph.sqlite"}) {
    const fs::path map = fresh();
    fs::remove(map / name);
    ASSERT_EQ(::mkfifo((map / name).c_str(), 0600), 0);
    expect_refused_by(name == "graph.sqlite" ? of_graph_ : all_, name + ": is a link, a pipe, a device or a folder");
  }
}

TEST_F(HostileMap, LinksOutOfTheFolder) {
  for (const std::string name : {"grid.yaml", "grid.pgm", "trajectory.csv", "odometry.csv", "graph.sqlite"}) {
    const fs::path map = fresh();
    fs::remove(map / name);
    fs::create_symlink("/etc/passwd", map / name);
    expect_refused_by(name == "graph.sqlite" ? measure_ : draw_and_measure_,
                      name + ": is a link, a pipe, a device or a folder");
  }
}

TEST_F(HostileMap, RastersElsewhere) {
  fresh();
  const fs::path map = folder_.path() / "flat";
  ASSERT_EQ(::mkfifo((map / "pipe").c_str(), 0600), 0);
  rewrite("grid.yaml", "raster: grid.pgm", "raster: pipe");
  expect_refused_by(all_, "pipe: is a link, a pipe, a device or a folder");
  rewrite("grid.yaml", "raster: pipe", "raster: /dev/zero");
  expect_refused_by(draw_and_measure_, "grid.yaml: raster is '/dev/zero', which is no name of a file beside it");
  rewrite("grid.yaml", "raster: /dev/zero", "raster: ../good/grid.pgm");
  expect_refused_by(draw_and_measure_, "grid.yaml: raster is '../good/grid.pgm', which is no name");
  rewrite("grid.yaml", "raster: ../good/grid.pgm", "raster: ..");
  expect_refused_by(draw_and_measure_, "grid.yaml: raster is '..', which is no name");
}

TEST_F(HostileMap, SidecarsWithoutEnd) {
  const fs::path map = fresh();
  std::ofstream(map / "grid.yaml", std::ios::app) << "more: \"" << std::string(3'000'000, 'x') << "\"\n";
  expect_refused_by(all_, "such a file has 1000000 at most");
  fs::resize_file(map / "grid.yaml", 300'000'000);
  expect_refused_by(draw_and_measure_, "has 300000000 bytes, and such a file has 1000000 at most");
  // Whoever writes beside a map asks whether the folder is one: a first line without end, or a pipe.
  std::ofstream(folder_.path() / "grid.yaml") << "x";
  fs::resize_file(folder_.path() / "grid.yaml", 3'000'000'000);
  EXPECT_EQ(run("draw good --out a.svg", memory_limit(2000) + " timeout 20").status, 0);
  fs::remove(folder_.path() / "grid.yaml");
  ASSERT_EQ(::mkfifo((folder_.path() / "grid.yaml").c_str(), 0600), 0);
  EXPECT_EQ(run("draw good --out b.svg", "timeout 20").status, 0);
}

TEST_F(HostileMap, PipesAndDevicesBesideATruth) {
  fs::create_directory(folder_.path() / "truth");
  fs::copy(drive_ / "truth.csv", folder_.path() / "truth");
  fs::copy(drive_ / "truth.csv", folder_.path() / "true.csv");
  ASSERT_EQ(::mkfifo((folder_.path() / "truth/robot.yaml").c_str(), 0600), 0);
  ASSERT_EQ(::mkfifo((folder_.path() / "grid.yaml").c_str(), 0600), 0);
  EXPECT_EQ(run("compare good --truth truth/truth.csv", "timeout 20").status, 0);
  fs::remove(folder_.path() / "truth/robot.yaml");
  fs::create_symlink("/dev/zero", folder_.path() / "truth/robot.yaml");
  EXPECT_EQ(run("compare good --truth truth/truth.csv", memory_limit(2000) + " timeout 20").status, 0);
  EXPECT_EQ(run("compare good true.csv", "timeout 20").status, 2);  // as if it were a map's
}

TEST_F(HostileMap, TablesThatAreNone) {
  const std::string endless = "AS WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n)";
  fresh();
  sql("DROP TABLE edges; CREATE VIEW edges " + endless +
      " SELECT i AS edge, 'match' AS kind, 0 AS from_node, 1 AS to_node, 0.0 AS x_m, 0.0 AS y_m, 0.0 AS heading_rad, "
      "1.0 AS information_xx_per_m2, 0.0 AS information_xy_per_m2, 1.0 AS information_yy_per_m2, "
      "0.0 AS information_xh_per_m_rad, 0.0 AS information_yh_per_m_rad, 1.0 AS information_hh_per_rad2 FROM n");
  expect_refused_by(of_graph_, "graph.sqlite: is damaged (edges is no plain table: view)");
  fresh();
  sql("DROP TABLE meta; CREATE VIEW meta " + endless + " SELECT 'a' AS key, 'b' AS value FROM n");
  expect_refused_by(all_, "graph.sqlite: is damaged (meta is no plain table: view)");
  fresh();
  sql("ALTER TABLE gyro RENAME TO old; CREATE TABLE gyro (drive, time_s, yaw_rate_rad_s AS "
      "(length(hex(zeroblob(1)))))");
  expect_refused_by(measure_, "gyro.yaw_rate_rad_s is computed when it is read");
}

TEST_F(HostileMap, NumbersThatNoMapHas) {
  fresh();
  sql("UPDATE wall_pieces SET half_length_m = 1e4");
  expect_refused_by(of_graph_, "row 1 of wall_pieces: half_length_m is 1e+04");
  for (const char* found : {"0", "-1", "1e9"}) {
    fresh();
    sql(fmt::format("UPDATE constants SET found = {} WHERE name = 'lidar.range_scale'", found));
    expect_refused_by(measure_, "range_scale is ");
    fresh();
    sql(fmt::format("UPDATE constants SET found = {} WHERE name = 'drive.track_width_m'", found));
    expect_refused_by(measure_, "track_width_m is ");
  }
  fresh();
  sql("UPDATE constants SET found = 1e9 WHERE name LIKE 'slip%'");
  expect_refused_by(measure_, "was stated as 0 and found as 1000000000");
}

TEST_F(HostileMap, PartsThatContradictOneAnother) {
  fresh();
  rewrite("grid.yaml", "cell_size_m: 0.05", "cell_size_m: 100");
  expect_refused_by(all_, "grid.yaml says that a cell has 100 m and graph.sqlite 0.05 m");
  fresh();
  const std::string yaml = content(folder_.path() / "flat/grid.yaml");
  const std::size_t begin = yaml.find("x_m: ", yaml.find("lower_left_corner")) + 5;
  const std::string corner = yaml.substr(begin, yaml.find(',', begin) - begin);
  rewrite("grid.yaml", "{x_m: " + corner, "{x_m: 1e7");
  expect_refused_by(all_, "grid.yaml says that the grid reaches from (10000000.00,");
  fresh();
  rewrite("trajectory.csv", "0.200000,", "0.201000,");
  expect_refused_by(of_graph_, "but trajectory.csv has no row of that time");
}

TEST_F(HostileMap, IsOnlyRead) {
  fresh();
  sql("PRAGMA journal_mode = WAL");
  const auto before = entries();
  const Outcome measured = run("measure flat --room 0,0");
  EXPECT_EQ(measured.status, 0) << measured.err;
  EXPECT_EQ(entries(), before);
}

}  // namespace
}  // namespace wainscot
