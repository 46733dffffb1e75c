// The real program, run as a user runs it: what it says, its status, and that it leaves nothing half-made.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iterator>
#include <sstream>
#include <string>
#include <vector>

#include <sys/wait.h>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

std::string content(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

struct Outcome {
  int status = 0;
  std::string out;
  std::string err;
};

/// A range from (x, y) in the direction `angle_rad` to the walls of a room from (-1.5, -1) to (3, 2).
double range_in_room(double x, double y, double angle_rad) {
  const double dx = std::cos(angle_rad);
  const double dy = std::sin(angle_rad);
  const double along_x = dx > 0.0 ? (3.0 - x) / dx : (-1.5 - x) / dx;
  const double along_y = dy > 0.0 ? (2.0 - y) / dy : (-1.0 - y) / dy;
  return std::min(std::isfinite(along_x) ? along_x : 1e9, std::isfinite(along_y) ? along_y : 1e9);
}

std::string replaced(std::string text, const std::string& old_text, const std::string& new_text) {
  return text.replace(text.find(old_text), old_text.size(), new_text);
}

class CommandLine : public testing::Test {
 protected:
  CommandLine() {
    fs::create_directory(drive_);
    write("robot.yaml",
          "# simulated\nwainscot_robot: 1\ndrive:\n  left_m_per_tick: 0.001\n  right_m_per_tick: 0.001\n"
          "  track_width_m: 0.3\nlidar:\n  sweep_s: 0\n");
    write("wheels.csv", wheels());
    write("scans.csv", scans(drive_scans, true));
    write("truth.csv", truth());
  }

  static constexpr int drive_scans = 40;

  /// 0.25 m/s straight on, for 4.5 s.
  static std::string wheels() {
    std::string text = "time_s,left_ticks,right_ticks\n";
    for (int i = 0; i <= 90; ++i) {
      text += fmt::format("{:.2f},{},{}\n", 0.05 * i, std::lround(12.5 * i), std::lround(12.5 * i));
    }
    return text;
  }
  /// Ten scans a second from 0.2 s on, 120 beams each, of a room or of nothing.
  static std::string scans(int count, bool room) {
    std::string text = "time_s";
    for (int beam = 0; beam < 120; ++beam) text += fmt::format(",{}", 3 * beam);
    text += "\n";
    for (int i = 0; i < count; ++i) {
      const double time_s = 0.2 + 0.1 * i;
      text += fmt::format("{:.1f}", time_s);
      for (int beam = 0; beam < 120; ++beam) {
        text +=
            room ? fmt::format(",{:.3f}", range_in_room(0.25 * time_s, 0.0, 3 * beam * std::acos(-1.0) / 180.0)) : ",";
      }
      text += "\n";
    }
    return text;
  }
  static std::string truth() {
    std::string text = "# simulated\ntime_s,x_m,y_m,heading_rad\n";
    for (int i = 0; i <= 9; ++i) text += fmt::format("{:.1f},{:.3f},5,0\n", 0.5 * i, 0.125 * i);
    return text;
  }

  void write(const std::string& name, const std::string& text) const {
    std::ofstream(drive_ / name, std::ios::binary) << text;
  }
  std::string read(const std::string& name) const { return content(drive_ / name); }
  void replace(const std::string& name, const std::string& old_text, const std::string& new_text) const {
    std::string text = read(name);
    const std::size_t at = text.find(old_text);
    ASSERT_NE(at, std::string::npos) << old_text;
    write(name, text.replace(at, old_text.size(), new_text));
  }

  /// Runs `wainscot ARGUMENTS` in the test's folder, after shell commands that end in ";".
  Outcome run(const std::string& arguments, const std::string& before = "") const {
    const fs::path out = logs_.path() / "out";
    const fs::path err = logs_.path() / "err";
    const std::string command = fmt::format("cd '{}'; {} '{}' {} >'{}' 2>'{}' </dev/null", folder_.path().string(),
                                            before, WAINSCOT_PROGRAM, arguments, out.string(), err.string());
    const int status = std::system(command.c_str());
    return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, content(out), content(err)};
  }

  /// Expects a status and one line on standard error that has `part` in it, and nothing made in the folder.
  void expect_refused(const std::string& arguments, int status, const std::string& part) const {
    const auto before = entries();
    const Outcome outcome = run(arguments);
    SCOPED_TRACE(arguments + "\n" + outcome.err);
    EXPECT_EQ(outcome.status, status);
    EXPECT_EQ(outcome.out, "");
    EXPECT_EQ(std::count(outcome.err.begin(), outcome.err.end(), '\n'), 1);
    EXPECT_EQ(outcome.err.rfind("wainscot: ", 0), 0U);
    EXPECT_EQ(outcome.err.back(), '\n');
    EXPECT_NE(outcome.err.find(part), std::string::npos) << "expected: " << part;
    EXPECT_EQ(entries(), before);
  }
  void expect_build_refused(const std::string& part, int status = 2) const {
    expect_refused("build drive --out flat", status, part);
  }
  void expect_build_refused_with(const std::string& options, const std::string& part) const {
    expect_refused("build drive --out flat " + options, 2, part);
  }

  std::vector<std::string> entries() const {
    std::vector<std::string> names;
    for (const auto& entry : fs::recursive_directory_iterator(folder_.path())) names.push_back(entry.path().string());
    std::sort(names.begin(), names.end());
    return names;
  }

  ReaderFolder folder_;
  ReaderFolder logs_;
  const fs::path drive_ = folder_.path() / "drive";
};

TEST_F(CommandLine, BuildsComparesAndDraws) {
  const Outcome build = run("build drive --out flat --timings times.json");
  ASSERT_EQ(build.status, 0) << build.err;
  EXPECT_EQ(build.out, "");
  EXPECT_NE(build.err.find("(simulated)"), std::string::npos);
  EXPECT_NE(build.err.find("wainscot compare flat --truth drive/truth.csv"), std::string::npos);
  EXPECT_NE(build.err.find("Caution: "), std::string::npos);
  EXPECT_EQ(build.err.find('\r'), std::string::npos);  // no progress bar, since this is no terminal
  EXPECT_NE(content(folder_.path() / "times.json").find("\"wall_s\""), std::string::npos);

  const Outcome compare = run("compare flat --truth drive/truth.csv");
  EXPECT_EQ(compare.status, 0) << compare.err;
  EXPECT_EQ(compare.err, "To see where: the same command with --page comparison.html, a page for any browser.\n");
  EXPECT_EQ(compare.out.rfind("Simulated drive", 0), 0U);
  EXPECT_NE(compare.out.find("odometry alone"), std::string::npos);

  const Outcome draw = run("draw flat --out plan.png");
  EXPECT_EQ(draw.status, 0) << draw.err;
  EXPECT_EQ(content(folder_.path() / "plan.png").substr(1, 3), "PNG");
  expect_refused("draw flat --out plan.png", 2, "--replace");
}

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

TEST_F(CommandLine, NothingIsWrittenIntoAMap) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  const std::string before = content(folder_.path() / "flat" / "grid.yaml");
  expect_refused("compare flat --csv flat/grid.yaml --replace", 2, "would lie in the folder of the map flat");
  expect_refused("draw flat --out flat/plan.svg", 2, "would lie in the folder of the map flat");
  expect_refused("export flat --out flat/plans", 2, "would lie in the folder of the map flat");
  expect_refused("extend flat drive --out flat/new", 2, "would lie in the folder of the map flat");
  EXPECT_EQ(content(folder_.path() / "flat" / "grid.yaml"), before);
  EXPECT_FALSE(fs::exists(folder_.path() / "flat" / "plans"));
}

// The grid shows the house as it was seen last: what has gone from it is no wall, though earlier scans lie on it.
TEST_F(CommandLine, WhatHasGoneIsNeitherExportedNorMeasuredTo) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  const fs::path raster = folder_.path() / "flat" / "grid.pgm";
  std::string bytes = content(raster);
  const std::size_t header = bytes.find("255\n") + 4;
  for (std::size_t i = header; i < bytes.size(); ++i) bytes[i] = '\xff';
  std::ofstream(raster, std::ios::binary) << bytes;
  const Outcome exported = run("export flat --out hand");
  EXPECT_EQ(exported.status, 0) << exported.err;
  EXPECT_EQ(exported.err.rfind("0 walls in hand (simulated).\nNot among them: ", 0), 0U) << exported.err;
  const Outcome measured = run("measure flat -1.5,0.5 2.9,0.6");
  EXPECT_EQ(measured.status, 1);
  EXPECT_NE(measured.err.find("Not measured to: "), std::string::npos) << measured.err;
}

TEST_F(CommandLine, ATableThatCannotBeWrittenIsNoSuccess) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  for (const std::string command : {"measure flat --room 0.5,0.4", "compare flat", "--help"}) {
    const Outcome full = run(command, "sh -c '\"$@\" >/dev/full' sh");
    EXPECT_EQ(full.status, 2) << command << full.err;
    EXPECT_NE(full.err.find("wainscot: standard output cannot be written"), std::string::npos) << full.err;
  }
}

TEST_F(CommandLine, DrawsSvgByTheNamesEnding) {
  ASSERT_EQ(run("build drive --out '<script>x' --quiet").status, 0);
  ASSERT_EQ(run("draw '<script>x' --out plan.SVG").status, 0);
  const std::string svg = content(folder_.path() / "plan.SVG");
  EXPECT_EQ(svg.find("<script"), std::string::npos);
  EXPECT_NE(svg.find("Plan of &lt;script&gt;x"), std::string::npos);
  EXPECT_NE(svg.find("y, metres (map frame)"), std::string::npos);
}

TEST_F(CommandLine, ExportsAMap) {
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

TEST_F(CommandLine, ExportRefusesWrongInput) {
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

TEST_F(CommandLine, QuietSaysNothing) {
  const Outcome build = run("build drive --out flat --quiet");
  EXPECT_EQ(build.status, 0);
  EXPECT_EQ(build.out + build.err, "");
}

TEST_F(CommandLine, ThreadsChangeNoByte) {
  ASSERT_EQ(run("build drive --out one --threads 1").status, 0);
  ASSERT_EQ(run("build drive --out four --threads 4").status, 0);
  for (const auto& entry : fs::directory_iterator(folder_.path() / "one")) {
    EXPECT_EQ(content(entry.path()), content(folder_.path() / "four" / entry.path().filename())) << entry.path();
  }
}

TEST_F(CommandLine, HelpHasAnExampleForEveryCommand) {
  EXPECT_EQ(run("--version").out, "wainscot " WAINSCOT_VERSION "\n");
  for (const std::string command : {"", "build ", "calibrate ", "compare ", "draw ", "explain ", "export ", "extend ",
                                    "locate ", "measure ", "simulate "}) {
    const Outcome help = run(command + "--help");
    EXPECT_EQ(help.status, 0);
    EXPECT_EQ(help.err, "");
    const std::size_t example = help.out.find("Example:\n  wainscot " + command);
    EXPECT_NE(example, std::string::npos) << command;
    EXPECT_EQ(help.out.find("Example:", example + 1), std::string::npos) << command;  // one, and its own
  }
}

TEST_F(CommandLine, WrongCommandLines) {
  expect_refused("", 2, "no command was given; see wainscot --help");
  expect_refused("buidl drive --out flat", 2, "no command buidl; did you mean build?");
  expect_refused("build drive --otu flat", 2, "no option --otu; did you mean --out?");
  expect_refused("build drive --out flat --repalce", 2, "did you mean --replace?");
  expect_refused("--verison", 2, "did you mean --version?");
  expect_refused("build drive", 2, "--out");
  expect_refused("build --out flat", 2, "DRIVE");
  expect_refused("build drive --out", 2, "--out");
  expect_refused("build my drive --out flat", 2, "one word too many");
  expect_refused("build drive --out flat --cell-size 7", 2, "0.01 to 0.5");
  expect_refused("build drive --out flat --cell-size nan", 2, "0.01 to 0.5");
  expect_refused("build drive --out flat --cell-size 5cm", 2, "0.01 to 0.5");
  expect_refused("build drive --out flat --threads 0", 2, "--threads");
  expect_refused("build drive --out flat --threads two", 2, "--threads");
  expect_refused("compare absent --truth drive/truth.csv", 2, "absent: is not there");
  expect_refused("draw drive --out plan.png", 2, "drive: is the folder of a drive, not of a map");
}

TEST_F(CommandLine, PlacesWhereNoMapCanBe) {
  fs::create_directory(folder_.path() / "flat");
  expect_build_refused("flat: exists and is not a map");
  expect_refused("build drive --out flat --replace", 2, "flat: exists and is not a map");
  expect_refused("build drive --out drive --replace", 2, "drive: exists and is not a map");
  expect_refused("build drive --out ''", 2, "the name of the map's folder is empty");
  expect_refused("build drive --out absent/flat", 2, "make it first");
  expect_refused("build drive --out /proc/flat", 2, "cannot be written");
  expect_refused("build drive --out other --timings absent/t.json", 2, "wainscot: absent/t.json: cannot be written");
}

TEST_F(CommandLine, TimingsOfABuildThatFailsAreNotWritten) {
  expect_refused("build absent --out flat --timings times.json --replace", 2, "absent");
  std::ofstream(folder_.path() / "times.json") << "{}";
  expect_refused("build absent --out flat --timings times.json --replace", 2, "absent");
  EXPECT_EQ(content(folder_.path() / "times.json"), "{}");
  expect_refused("build drive --out flat --timings drive --replace", 2, "drive: cannot be written");
}

TEST_F(CommandLine, ATruthThatWasMovedIsStillOfASimulatedDrive) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  std::ofstream(folder_.path() / "path.csv") << replaced(truth(), "# simulated\n", "");
  EXPECT_EQ(run("compare flat --truth path.csv").out.rfind("Simulated drive", 0), 0U);
}

TEST_F(CommandLine, AMapIsReplacedOnlyWhenTold) {
  ASSERT_EQ(run("build drive --out flat").status, 0);
  expect_build_refused("--replace");
  EXPECT_EQ(run("build drive --out flat --replace").status, 0);
}

TEST_F(CommandLine, HelpIsAWordToo) {
  EXPECT_EQ(run("help").out, run("--help").out);
  EXPECT_EQ(run("help draw").out, run("draw --help").out);
  EXPECT_NE(run("help draw").out.find("PICTURE.png"), std::string::npos);
}

TEST_F(CommandLine, NothingIsOverwrittenUnlessTold) {
  ASSERT_EQ(run("simulate --random-house 3 --write-plan plan.yaml").status, 0);
  const std::string plan = content(folder_.path() / "plan.yaml");
  expect_refused("simulate --random-house 4 --write-plan plan.yaml", 2, "plan.yaml: exists already; give --replace");
  expect_refused("simulate --random-house 4 --surfaces plan.yaml", 2, "plan.yaml: exists already; give --replace");
  expect_refused("build drive --out flat --timings plan.yaml", 2, "plan.yaml: exists already; give --replace");
  EXPECT_EQ(content(folder_.path() / "plan.yaml"), plan);
  EXPECT_EQ(run("simulate --random-house 4 --write-plan plan.yaml --replace").status, 0);
  EXPECT_NE(content(folder_.path() / "plan.yaml"), plan);
}

TEST_F(CommandLine, WishesThatContradictEachOther) {
  expect_refused("simulate --random-house 3 --form wheels,odometry --out d", 2, "not both");
  expect_refused("simulate --random-house 3 --form scans,returns --out d", 2, "not both");
  expect_refused("simulate --random-house 3 --perfect --calibrated --out d", 2, "excludes");
  expect_refused("simulate --random-house 3 --seed -1 --out d", 2, "-1 is not a whole number");
  expect_refused("simulate --random-house 3 --out nowhere/d", 2, "nowhere/d: cannot be written");
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  expect_refused("draw flat --out flat.jpg", 2, "end in .png or .svg");
}

TEST_F(CommandLine, MissingFiles) {
  expect_refused("build nowhere --out flat", 2, "nowhere");
  fs::remove(drive_ / "robot.yaml");
  expect_build_refused("drive/robot.yaml: is not there");
  write("robot.yml", "wainscot_robot: 1\n");
  expect_build_refused("robot.yml: is not read; if it is meant to be robot.yaml, rename it");
}

TEST_F(CommandLine, MissingWheelsOrScans) {
  const std::string wheel_rows = read("wheels.csv");
  fs::remove(drive_ / "wheels.csv");
  expect_build_refused("wheels.csv");
  write("wheels.csv", wheel_rows);
  fs::remove(drive_ / "scans.csv");
  expect_build_refused("scans.csv");
}

TEST_F(CommandLine, TwoFilesOfOneKind) {
  write("odometry.csv", "time_s,x_m,y_m,heading_rad\n0,0,0,0\n5,1,0,0\n");
  expect_build_refused("odometry.csv");
  fs::remove(drive_ / "odometry.csv");
  write("returns.csv", "time_s,angle_deg,range_m\n0.2,0,1\n");
  expect_build_refused("returns.csv");
}

/// A table and a change of it that makes it wrong.
struct Fault {
  const char* name;
  std::function<std::string(std::string)> change;
  const char* part;  ///< of the sentence
};

// Row 3 of wheels.csv is line 4: "0.10,25,25".
const std::vector<Fault> wheel_faults = {
    {"empty", [](const std::string&) { return std::string(); }, "wheels.csv"},
    {"header only", [](const std::string&) { return std::string("time_s,left_ticks,right_ticks\n"); }, "wheels.csv"},
    {"binary",
     [](const std::string&) {
       return std::string(
           "\x7f"
           "ELF\0\1\2\xff\xfe\xfd\n",
           11);
     },
     "wheels.csv"},
    {"UTF-16",
     [](const std::string& text) {
       std::string wide = "\xff\xfe";
       for (const char c : text) wide += std::string(1, c) + '\0';
       return wide;
     },
     "wheels.csv"},
    {"word", [](const std::string& t) { return replaced(t, "0.10,25,25", "0.10,fast,25"); }, "wheels.csv:4"},
    {"decimal comma", [](const std::string& t) { return replaced(t, "0.10,25,25", "0,10,25,25"); }, "wheels.csv:4"},
    {"NUL", [](const std::string& t) { return replaced(t, "0.10,25,25", std::string("0.10,2\0005,25", 11)); },
     "wheels.csv:4"},
    {"missing cell", [](const std::string& t) { return replaced(t, "0.10,25,25", "0.10,25"); }, "wheels.csv:4"},
    {"empty cell", [](const std::string& t) { return replaced(t, "0.10,25,25", "0.10,,25"); }, "wheels.csv:4"},
    {"surplus cell", [](const std::string& t) { return replaced(t, "0.10,25,25", "0.10,25,25,25"); }, "wheels.csv:4"},
    {"overlong number",
     [](const std::string& t) { return replaced(t, "0.10,25,25", "0.10," + std::string(400, '9') + ",25"); },
     "wheels.csv:4"},
    {"fraction of a tick", [](const std::string& t) { return replaced(t, "0.10,25,25", "0.10,25.5,25"); },
     "wheels.csv:4"},
    {"column missing", [](const std::string& t) { return replaced(t, "right_ticks", "rigth_ticks"); }, "right_ticks"},
    {"column unknown", [](const std::string& t) { return replaced(t, "time_s", "speed,time_s"); }, "speed"},
    {"column twice", [](const std::string& t) { return replaced(t, "right_ticks", "left_ticks"); }, "left_ticks"},
    {"time back", [](const std::string& t) { return replaced(t, "0.10,25,25", "0.01,25,25"); }, "wheels.csv:4"},
    {"time nan", [](const std::string& t) { return replaced(t, "0.10,25,25", "nan,25,25"); }, "wheels.csv:4"},
    {"time inf", [](const std::string& t) { return replaced(t, "0.10,25,25", "inf,25,25"); }, "wheels.csv:4"},
};

TEST_F(CommandLine, WrongWheelTables) {
  const std::string right = read("wheels.csv");
  for (const Fault& fault : wheel_faults) {
    SCOPED_TRACE(fault.name);
    write("wheels.csv", fault.change(right));
    expect_build_refused(fault.part);
  }
}

TEST_F(CommandLine, WrongScanTables) {
  const std::string right = read("scans.csv");
  const std::string first_cell = "\n0.3," + fmt::format("{:.3f}", range_in_room(0.075, 0.0, 0.0));
  const std::vector<Fault> faults = {
      {"negative range", [&](const std::string& t) { return replaced(t, first_cell, "\n0.3,-1"); }, "scans.csv:3"},
      {"word", [&](const std::string& t) { return replaced(t, first_cell, "\n0.3,far"); }, "scans.csv:3"},
      {"missing cell", [&](const std::string& t) { return replaced(t, first_cell, "\n0.3"); }, "scans.csv:3"},
      {"surplus cell", [&](const std::string& t) { return replaced(t, first_cell, "\n0.3,1,1"); }, "scans.csv:3"},
      {"time back", [&](const std::string& t) { return replaced(t, "\n0.3,", "\n0.1,"); }, "scans.csv:3"},
      {"angle not a number", [](const std::string& t) { return replaced(t, ",3,", ",three,"); }, "scans.csv:1"},
      {"angle twice", [](const std::string& t) { return replaced(t, ",3,", ",0,"); }, "scans.csv"},
      {"header only", [](const std::string& t) { return t.substr(0, t.find('\n') + 1); }, "scans.csv"},
      {"empty", [](const std::string&) { return std::string(); }, "scans.csv"},
  };
  for (const Fault& fault : faults) {
    SCOPED_TRACE(fault.name);
    write("scans.csv", fault.change(right));
    expect_build_refused(fault.part);
  }
}

TEST_F(CommandLine, TimesThatDoNotOverlap) {
  std::string later = "time_s,left_ticks,right_ticks\n";
  for (int i = 0; i <= 90; ++i) later += fmt::format("{},{},{}\n", 1000 + i, i, i);
  write("wheels.csv", later);
  expect_build_refused("overlap");
}

TEST_F(CommandLine, WrongRobots) {
  const std::string right = read("robot.yaml");
  std::string bomb = "a0: &a0 [x,x,x,x,x,x,x,x,x]\n";
  for (int i = 1; i < 12; ++i) {
    bomb += fmt::format("a{0}: &a{0} [*a{1},*a{1},*a{1},*a{1},*a{1},*a{1},*a{1},*a{1},*a{1}]\n", i, i - 1);
  }
  const std::vector<Fault> faults = {
      {"tab", [](const std::string& t) { return replaced(t, "  track", "\ttrack"); }, "robot.yaml:6"},
      {"typo", [](const std::string& t) { return replaced(t, "track_width_m", "track_widht_m"); }, "track_width_m"},
      {"impossible", [](const std::string& t) { return replaced(t, "0.3\n", "-0.3\n"); }, "robot.yaml:6"},
      {"word", [](const std::string& t) { return replaced(t, "0.3\n", "wide\n"); }, "robot.yaml:6"},
      {"no version", [](const std::string& t) { return replaced(t, "wainscot_robot: 1\n", ""); }, "wainscot_robot"},
      {"newer version", [](const std::string& t) { return replaced(t, "robot: 1", "robot: 2"); }, "robot.yaml:2"},
      {"alias bomb", [&](const std::string& t) { return t + bomb; }, "robot.yaml"},
      {"empty", [](const std::string&) { return std::string(); }, "robot.yaml"},
  };
  for (const Fault& fault : faults) {
    SCOPED_TRACE(fault.name);
    write("robot.yaml", fault.change(right));
    expect_build_refused(fault.part);
  }
}

TEST_F(CommandLine, DataThatIsTooPoor) {
  write("scans.csv", scans(1, true));
  expect_build_refused("scan", 1);
  write("scans.csv", scans(drive_scans, false));
  expect_refused("build drive --out flat --quiet", 1, "scan");
}

// The robot drives forward while every scan says that it goes back: the map is a wreck, and nobody may take it for one.
TEST_F(CommandLine, AWreckEndsWithStatusOne) {
  std::string text = "time_s";
  for (int beam = 0; beam < 120; ++beam) text += fmt::format(",{}", 3 * beam);
  for (int i = 0; i < drive_scans; ++i) {
    text += fmt::format("\n{:.1f}", 0.2 + 0.1 * i);
    for (int beam = 0; beam < 120; ++beam) {
      text += fmt::format(",{:.3f}", 1.0 + 0.04 * ((7 * beam + 31 * i + beam * i % 13) % 40));
    }
  }
  write("scans.csv", text + "\n");
  const Outcome outcome = run("build drive --out flat");
  EXPECT_EQ(outcome.status, 1);
  EXPECT_NE(outcome.err.find("How sure: not at all."), std::string::npos) << outcome.err;
  EXPECT_NE(outcome.err.find("\nwainscot: the map in flat is there to be looked at"), std::string::npos);
}

TEST_F(CommandLine, WarningsStandBeforeTheSentenceOfPoorData) {
  write("scans.csv", scans(drive_scans, false));
  const Outcome outcome = run("build drive --out flat");
  EXPECT_EQ(outcome.status, 1);
  EXPECT_EQ(outcome.err.rfind("Warning: drive/scans.csv: holds no return at all", 0), 0U) << outcome.err;
  EXPECT_NE(outcome.err.find("\nwainscot: "), std::string::npos) << outcome.err;
}

TEST_F(CommandLine, AFullDiskIsOneSentence) {
  const Outcome outcome = run("build drive --out flat", "ulimit -f 8;");
  EXPECT_EQ(outcome.status, 2);
  EXPECT_EQ(std::count(outcome.err.begin(), outcome.err.end(), '\n'), 1) << outcome.err;
  EXPECT_NE(outcome.err.find("cannot be written"), std::string::npos) << outcome.err;
  EXPECT_EQ(entries().size(), 5U);
}

TEST_F(CommandLine, ChecksALog) {
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

TEST_F(CommandLine, ALogThatTellsNothingIsPoorData) {
  write("scans.csv", scans(drive_scans, false));
  expect_refused("check drive --quiet", 1, "tells nothing");
}

TEST_F(CommandLine, CheckRefusesWrongInput) {
  expect_refused("check nowhere", 2, "is not a folder");
  expect_refused("check", 2, "DRIVE");
  expect_refused("check drive --jsn", 2, "did you mean --json");
  write("wheels.csv", "time_s,left_ticks\n1,2\n");
  expect_refused("check drive", 2, "right_ticks");
}

TEST_F(CommandLine, ExplainsADriveOnAPage) {
  const Outcome made = run("explain drive --out explain.html");
  ASSERT_EQ(made.status, 0) << made.err;
  EXPECT_EQ(made.out, "");
  const std::string page = content(folder_.path() / "explain.html");
  EXPECT_EQ(page.rfind("<!DOCTYPE html>", 0), 0U);
  EXPECT_NE(page.find("simulated drive"), std::string::npos);
  expect_refused("explain drive --out explain.html", 2, "--replace");
  EXPECT_EQ(run("explain drive --out explain.html --replace --quiet --threads 1").err, "");
  EXPECT_EQ(content(folder_.path() / "explain.html"), page) << "the same drive gives the same bytes";
}

TEST_F(CommandLine, ExplainRefusesWhatMakesNoSense) {
  expect_refused("explain drive", 2, "--lesson 1");
  expect_refused("explain drive --out a.html --answers", 2, "--answers");
  expect_refused("explain drive --lesson 7", 2, "7");
  expect_refused("explain drive --out a.html --match-at 1000", 2, "1000");
  expect_refused("explain nowhere --lesson 1", 2, "nowhere");
  expect_refused("explain drive --out none/a.html", 2, "none/a.html");
  write("robot.yaml", "wainscot_robot: 2\n");
  expect_refused("explain drive --out a.html", 2, "newer");
  std::filesystem::create_directory(folder_.path() / "map");
  std::ofstream(folder_.path() / "map" / "grid.yaml") << "wainscot_map: 1\n";
  expect_refused("explain map --out a.html", 2, "is a map");
  EXPECT_FALSE(std::filesystem::exists(folder_.path() / "a.html"));
}

TEST_F(CommandLine, LessonsAskAndAnswer) {
  const Outcome asked = run("explain drive --lesson 3 --quiet");
  EXPECT_EQ(asked.status, 0) << asked.err;
  EXPECT_EQ(asked.out.rfind("Lesson 3 of 6: The pose graph (a simulated drive)", 0), 0U) << asked.out;
  EXPECT_EQ(asked.out.find("Answer:"), std::string::npos);
  EXPECT_NE(asked.out.find("wainscot explain drive --lesson 3 --answers"), std::string::npos);
  const Outcome answered = run("explain drive --lesson 3 --answers --quiet");
  EXPECT_NE(answered.out.find("Answer:"), std::string::npos);
}

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

TEST_F(CommandLine, TheFrameThatIsAskedFor) {
  ASSERT_EQ(run("build drive --out plain --quiet").status, 0);
  const Outcome moved = run("build drive --out moved --origin=-2,3.5,90");
  ASSERT_EQ(moved.status, 0) << moved.err;
  EXPECT_NE(moved.err.find("Frame: yours; the drive begins at (-2.00, 3.50) m, heading 90"), std::string::npos)
      << moved.err;
  const std::string yaml = content(folder_.path() / "moved/grid.yaml");
  EXPECT_NE(yaml.find("first_pose: {x_m: -2, y_m: 3.5, heading_rad: 1.570796327}\nframe_set_by: user\n"),
            std::string::npos)
      << yaml;
  EXPECT_EQ(content(folder_.path() / "plain/grid.yaml").find("frame_set_by"), std::string::npos);
  // The shape is the same: from 1 m before the robot's first place to its left and right.
  const Outcome plain_width = run("measure plain --room 0.5,0.4");
  const Outcome moved_width = run("measure moved --room=-2.4,4");
  const auto first_figure = [](const Outcome& o, const std::string& name) {
    return std::stod(o.out.substr(o.out.find(name + ",") + name.size() + 1));
  };
  EXPECT_NEAR(first_figure(plain_width, "width"), first_figure(moved_width, "depth"), 0.0005);

  const Outcome upright = run("build drive --out upright --upright");
  ASSERT_EQ(upright.status, 0) << upright.err;
  EXPECT_NE(upright.err.find("Frame: turned upright; "), std::string::npos) << upright.err;
  EXPECT_NE(content(folder_.path() / "upright/grid.yaml").find("frame_set_by: walls\n"), std::string::npos);
}

TEST_F(CommandLine, WrongFrames) {
  expect_build_refused_with("--upright --origin 1,2,3", "--upright");
  for (const std::string wrong : {"1,2", "1,2,3,4", "1,2,x", "1;2;3", ",,", "1,2,nan"}) {
    expect_build_refused_with("--origin \"" + wrong + "\"", "write X,Y,DEG");
  }
  expect_build_refused_with("--origin 500000,5400000,30", "5 km from the frame's origin at most");
}

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

TEST_F(CommandLine, LocatesADriveInAMap) {
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

TEST_F(CommandLine, ARoomThatLooksTheSameFromBothEndsIsAmbiguous) {
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

TEST_F(CommandLine, ADriveThatFitsNowhereEndsWithStatusOne) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  replace("robot.yaml", "  sweep_s: 0\n", "  sweep_s: 0\n  range_scale: 0.6\n");
  const Outcome outcome = run("locate flat drive --quiet");
  EXPECT_EQ(outcome.status, 1);
  EXPECT_EQ(outcome.out.find(",found\n"), std::string::npos) << outcome.out;
  EXPECT_EQ(outcome.err.rfind("wainscot: ", 0), 0U) << outcome.err;
  EXPECT_EQ(std::count(outcome.err.begin(), outcome.err.end(), '\n'), 1) << outcome.err;
}

TEST_F(CommandLine, LocateRefusesWrongInput) {
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
