// The real program, run as a user runs it: what it says, its status, and that it leaves nothing half-made.

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iterator>
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
  EXPECT_EQ(compare.err, "");
  EXPECT_EQ(compare.out.rfind("Simulated drive", 0), 0U);
  EXPECT_NE(compare.out.find("odometry alone"), std::string::npos);

  const Outcome draw = run("draw flat --out plan.png");
  EXPECT_EQ(draw.status, 0) << draw.err;
  EXPECT_EQ(content(folder_.path() / "plan.png").substr(1, 3), "PNG");
  expect_refused("draw flat --out plan.png", 2, "--replace");
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
  for (const std::string command : {"", "build ", "calibrate ", "compare ", "draw ", "extend ", "simulate "}) {
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
  expect_refused("compare absent --truth drive/truth.csv", 2, "absent/trajectory.csv");
  expect_refused("draw drive --out plan.png", 2, "drive/grid.yaml");
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
  expect_refused("draw flat --out flat.jpg", 2, "end in .png");
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

}  // namespace
}  // namespace wainscot
