// The command `build`, run with the real program as a user runs it.

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <functional>
#include <sstream>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "tests/apps/command_line.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

class BuildCommand : public CommandLine {};

TEST_F(BuildCommand, MakesAMapAndSaysWhatNext) {
  const Outcome build = run("build drive --out flat --timings times.json");
  ASSERT_EQ(build.status, 0) << build.err;
  EXPECT_EQ(build.out, "");
  EXPECT_NE(build.err.find("(simulated)"), std::string::npos);
  EXPECT_NE(build.err.find("wainscot compare flat --truth drive/truth.csv"), std::string::npos);
  EXPECT_NE(build.err.find("Caution: "), std::string::npos);
  EXPECT_EQ(build.err.find('\r'), std::string::npos);  // no progress bar, since this is no terminal
  EXPECT_NE(content(folder_.path() / "times.json").find("\"wall_s\""), std::string::npos);
  for (const char* name :
       {"grid.pgm", "grid.yaml", "trajectory.csv", "odometry.csv", "graph.sqlite", "summary.json", "report.html"}) {
    EXPECT_TRUE(fs::exists(folder_.path() / "flat" / name)) << name;
  }
}

// It was called a fault of the program's own, after the whole work.
TEST_F(BuildCommand, AGridThatWouldBeTooLargeIsRefusedWithWhatMakesItSo) {
  replace("robot.yaml", "  sweep_s: 0\n", "  sweep_s: 0\n  max_range_m: 1000\n  noise_m: 0.004\n");
  std::istringstream rows(read("scans.csv"));
  std::string text;
  std::string row;
  for (int i = 0; std::getline(rows, row); ++i) {
    if (i == 11) {  // the scan at 1.2 s: four beams square to one another
      std::istringstream cells(row);
      std::string cell;
      row.clear();
      for (int k = 0; std::getline(cells, cell, ','); ++k) {
        row += (k == 0 ? "" : ",") + (k > 0 && (k - 1) % 30 == 0 ? std::string("990") : cell);
      }
    }
    text += row + "\n";
  }
  write("scans.csv", text);
  expect_build_refused(
      "million: the farthest return, 990.0 m at 1.200 s, makes it so large, and 99 % of the returns are "
      "nearer than",
      1);
}

TEST_F(BuildCommand, CellsAreAsLargeAsAsked) {
  ASSERT_EQ(run("build drive --out flat --cell-size 0.1 --quiet").status, 0);
  EXPECT_NE(content(folder_.path() / "flat" / "grid.yaml").find("cell_size_m: 0.1\n"), std::string::npos);
}

// A robot that nobody measured.
TEST_F(BuildCommand, FindsWhatRobotYamlLeavesOutAndWritesItDown) {
  ASSERT_EQ(run("simulate --random-house 3 --seed 3 --out home").status, 0);
  const fs::path robot_yaml = folder_.path() / "home" / "robot.yaml";
  const std::string measured = content(robot_yaml);
  std::istringstream lines(measured);
  std::string left_out;
  for (std::string line; std::getline(lines, line);) {
    const bool constant = line.find("m_per_tick") != std::string::npos ||
                          line.find("track_width") != std::string::npos || line.find("  x_m") == 0 ||
                          line.find("  y_m") == 0 || line.find("  heading_deg") == 0;
    if (!constant) left_out += line + "\n";
  }
  std::ofstream(robot_yaml) << left_out;
  const Outcome build = run("build home --out flat");
  ASSERT_EQ(build.status, 0) << build.err;
  EXPECT_NE(build.err.find("robot.yaml leaves these out, and the drive shows them"), std::string::npos) << build.err;
  EXPECT_NE(build.err.find("flat/robot.yaml holds all of this"), std::string::npos);
  const std::string found = content(folder_.path() / "flat" / "robot.yaml");
  EXPECT_EQ(found.find("# A simulated robot.\n"), 0U);
  EXPECT_NE(found.find("left_m_per_tick: "), std::string::npos);
  for (const char* command : {"check home", "calibrate home --no-map", "locate flat home"}) {
    EXPECT_EQ(run(command).status, 0) << command;
  }
  // The next drive states it, and its map holds no robot.yaml.
  std::ofstream(robot_yaml) << found;
  const Outcome next = run("build home --out flat --replace");
  ASSERT_EQ(next.status, 0) << next.err;
  EXPECT_EQ(next.err.find("robot.yaml leaves"), std::string::npos);
  EXPECT_FALSE(fs::exists(folder_.path() / "flat" / "robot.yaml"));
}

TEST_F(BuildCommand, ADriveThatDoesNotShowWhatIsLeftOutIsRefused) {
  write("robot.yaml", "wainscot_robot: 1\nlidar: {sweep_s: 0}\n");
  expect_build_refused("robot.yaml leaves out left_m_per_tick, right_m_per_tick and track_width_m", 1);
}

TEST_F(BuildCommand, AFaultThatWouldSpoilTheMapEndsItUnlessTheUserKnows) {
  std::string milliseconds = "time_s,left_ticks,right_ticks\n";
  for (int i = 0; i <= 90; ++i) {
    milliseconds += fmt::format("{},{},{}\n", 50 * i, std::lround(12.5 * i), std::lround(12.5 * i));
  }
  write("wheels.csv", milliseconds);
  expect_build_refused("the times of wheels.csv are in milliseconds", 1);
  expect_build_refused("wainscot check drive tells more, and --even-so maps it all the same", 1);
  EXPECT_NE(run("build drive --out flat --even-so").err.find("the robot hardly moved"), std::string::npos);
}

TEST_F(BuildCommand, WrongOptions) {
  expect_refused("build drive", 2, "--out");
  expect_refused("build --out flat", 2, "DRIVE");
  expect_build_refused_with("--cell-size 7", "0.01 to 0.5");
  expect_build_refused_with("--cell-size nan", "0.01 to 0.5");
  expect_build_refused_with("--cell-size 5cm", "0.01 to 0.5");
  expect_build_refused_with("--threads 0", "--threads");
  expect_build_refused_with("--threads two", "--threads");
}

// The room is 4.5 m by 3 m, the map's frame begins at (0.05, 0) of it.
TEST_F(BuildCommand, TapesHoldTheScale) {
  const fs::path tapes = folder_.path() / "tapes.csv";
  std::ofstream(tapes) << "name,x1_m,y1_m,x2_m,y2_m,tape_m\n"
                          "length,-1.5,0.5,2.9,0.5,4.5\ntypo,-1.5,1,2.9,1,4.05\ndepth,0.5,-0.95,0.5,1.95,3\n"
                          "nowhere,0.5,0,2.9,0,2.4\n";
  const Outcome without = run("build drive --out flat");
  ASSERT_EQ(without.status, 0) << without.err;
  const auto asks = without.err.find("To know the scale better, this would bring it: ");
  ASSERT_NE(asks, std::string::npos) << without.err;
  EXPECT_NE(without.err.find("one tape of 4.5", asks), std::string::npos) << without.err;
  EXPECT_EQ(content(folder_.path() / "flat" / "summary.json").find("\"tapes\": ["), std::string::npos);

  const Outcome with = run("build drive --out taped --tapes tapes.csv --tape-sd 0.001");
  ASSERT_EQ(with.status, 0) << with.err;
  EXPECT_NE(with.err.find("Scale: set by tapes"), std::string::npos) << with.err;
  EXPECT_NE(with.err.find("Tapes: 2 of 4 tapes hold the scale; along the longest, 4.50 m"), std::string::npos);
  EXPECT_NE(with.err.find("Warning: tape 2 (typo) is left out: it says 4.050 m where the map has 4."),
            std::string::npos)
      << with.err;
  EXPECT_NE(with.err.find("Warning: tape 4 (nowhere) is left out: there is no wall within 0.4 m of its first point"),
            std::string::npos)
      << with.err;
  const std::string summary = content(folder_.path() / "taped" / "summary.json");
  EXPECT_NE(summary.find("\"tapes\": ["), std::string::npos);
  EXPECT_NE(summary.find("\"scale_remedies\": ["), std::string::npos);
  EXPECT_NE(content(folder_.path() / "taped" / "report.html").find("2 of 4 tapes hold the scale"), std::string::npos);
  EXPECT_EQ(run("measure taped --room 0.5,0").status, 0);  // and it is a map like any other
}

TEST_F(BuildCommand, TapesThatCannotBeReadEndItBeforeTheWork) {
  expect_build_refused_with("--tapes absent.csv", "absent.csv");
  const fs::path tapes = folder_.path() / "tapes.csv";
  std::ofstream(tapes) << "name,x1_m,y1_m,x2_m,y2_m\nlength,-1.5,0.5,2.9,0.5\n";
  expect_build_refused_with("--tapes tapes.csv", "tapes.csv: no row says in a column tape_m what a tape measured");
  std::ofstream(tapes) << "name,x1_m,y1_m,x2_m,y2_m,tape_m\nlength,-1.5,0.5,2.9,0.5,450\n";
  expect_build_refused_with("--tapes tapes.csv", "tapes.csv:2: tape_m is not in metres");
  expect_build_refused_with("--tape-sd 2mm", "0.0001 to 1");
}

TEST_F(BuildCommand, ThreadsChangeNoByteWithTapesEither) {
  std::ofstream(folder_.path() / "tapes.csv") << "name,x1_m,y1_m,x2_m,y2_m,tape_m\nlength,-1.5,0.5,2.9,0.5,4.5\n";
  ASSERT_EQ(run("build drive --out one --threads 1 --tapes tapes.csv").status, 0);
  ASSERT_EQ(run("build drive --out four --threads 4 --tapes tapes.csv").status, 0);
  for (const auto& entry : fs::directory_iterator(folder_.path() / "one")) {
    EXPECT_EQ(content(entry.path()), content(folder_.path() / "four" / entry.path().filename())) << entry.path();
  }
}

TEST_F(BuildCommand, QuietSaysNothing) {
  const Outcome build = run("build drive --out flat --quiet");
  EXPECT_EQ(build.status, 0);
  EXPECT_EQ(build.out + build.err, "");
}

TEST_F(BuildCommand, ThreadsChangeNoByte) {
  ASSERT_EQ(run("build drive --out one --threads 1").status, 0);
  ASSERT_EQ(run("build drive --out four --threads 4").status, 0);
  for (const auto& entry : fs::directory_iterator(folder_.path() / "one")) {
    EXPECT_EQ(content(entry.path()), content(folder_.path() / "four" / entry.path().filename())) << entry.path();
  }
}

TEST_F(BuildCommand, PlacesWhereNoMapCanBe) {
  fs::create_directory(folder_.path() / "flat");
  expect_build_refused("flat: exists and is not a map");
  expect_refused("build drive --out flat --replace", 2, "flat: exists and is not a map");
  expect_refused("build drive --out drive --replace", 2, "drive: exists and is not a map");
  expect_refused("build drive --out ''", 2, "the name of the map's folder is empty");
  expect_refused("build drive --out absent/flat", 2, "make it first");
  expect_refused("build drive --out /proc/flat", 2, "cannot be written");
  expect_refused("build drive --out other --timings absent/t.json", 2, "wainscot: absent/t.json: cannot be written");
}

TEST_F(BuildCommand, TimingsOfABuildThatFailsAreNotWritten) {
  expect_refused("build absent --out flat --timings times.json --replace", 2, "absent");
  std::ofstream(folder_.path() / "times.json") << "{}";
  expect_refused("build absent --out flat --timings times.json --replace", 2, "absent");
  EXPECT_EQ(content(folder_.path() / "times.json"), "{}");
  expect_refused("build drive --out flat --timings drive --replace", 2, "drive: cannot be written");
}

// Before the work: a map of which the user is told that it was not made would be worse than none.
TEST_F(BuildCommand, TimingsHaveANameOfTheirOwn) {
  expect_build_refused_with("--timings flat", "flat: is asked for twice; give each output its own name");
  expect_build_refused_with("--timings ./drive/../flat/ --replace", "is asked for twice");
  expect_build_refused_with("--timings flat/times.json", "cannot be written");
}

TEST_F(BuildCommand, AMapIsReplacedOnlyWhenTold) {
  ASSERT_EQ(run("build drive --out flat").status, 0);
  expect_build_refused("--replace");
  EXPECT_EQ(run("build drive --out flat --replace").status, 0);
}

TEST_F(BuildCommand, TheFrameThatIsAskedFor) {
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

TEST_F(BuildCommand, WrongFrames) {
  expect_build_refused_with("--upright --origin 1,2,3", "--upright");
  for (const std::string wrong : {"1,2", "1,2,3,4", "1,2,x", "1;2;3", ",,", "1,2,nan"}) {
    expect_build_refused_with("--origin \"" + wrong + "\"", "write X,Y,DEG");
  }
  expect_build_refused_with("--origin 500000,5400000,30", "5 km from the frame's origin at most");
}

TEST_F(BuildCommand, MissingFiles) {
  expect_refused("build nowhere --out flat", 2, "nowhere");
  fs::remove(drive_ / "robot.yaml");
  expect_build_refused("drive/robot.yaml: is not there");
  write("robot.yml", "wainscot_robot: 1\n");
  expect_build_refused("robot.yml: is not read; if it is meant to be robot.yaml, rename it");
}

TEST_F(BuildCommand, MissingScans) {
  fs::remove(drive_ / "scans.csv");
  expect_build_refused("scans.csv");
}

TEST_F(BuildCommand, MissingWheelsAreToldAndTheScansAloneMakeTheMap) {
  fs::remove(drive_ / "wheels.csv");
  const Outcome outcome = run("build drive --out flat");
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  EXPECT_NE(outcome.err.find("nothing is recorded of how the robot moved"), std::string::npos) << outcome.err;
}

TEST_F(BuildCommand, TwoFilesOfOneKind) {
  write("odometry.csv", "time_s,x_m,y_m,heading_rad\n0,0,0,0\n5,1,0,0\n");
  expect_build_refused("odometry.csv");
  fs::remove(drive_ / "odometry.csv");
  write("returns.csv", "time_s,angle_deg,range_m\n0.2,0,1\n");
  expect_build_refused("returns.csv");
}

/// A table and a change of it that makes it wrong.
struct StagedFault {
  const char* name;
  std::function<std::string(std::string)> change;
  const char* part;  ///< of the sentence
};

// Row 3 of wheels.csv is line 4: "0.10,25,25".
const std::vector<StagedFault> wheel_faults = {
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

TEST_F(BuildCommand, WrongWheelTables) {
  const std::string right = read("wheels.csv");
  for (const StagedFault& fault : wheel_faults) {
    SCOPED_TRACE(fault.name);
    write("wheels.csv", fault.change(right));
    expect_build_refused(fault.part);
  }
}

TEST_F(BuildCommand, WrongScanTables) {
  const std::string right = read("scans.csv");
  const std::string first_cell = "\n0.3," + fmt::format("{:.3f}", range_in_room(0.075, 0.0, 0.0));
  const std::vector<StagedFault> faults = {
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
  for (const StagedFault& fault : faults) {
    SCOPED_TRACE(fault.name);
    write("scans.csv", fault.change(right));
    expect_build_refused(fault.part);
  }
}

TEST_F(BuildCommand, TimesThatDoNotOverlap) {
  std::string later = "time_s,left_ticks,right_ticks\n";
  for (int i = 0; i <= 90; ++i) later += fmt::format("{},{},{}\n", 1000 + i, i, i);
  write("wheels.csv", later);
  expect_build_refused("overlap");
}

TEST_F(BuildCommand, WrongRobots) {
  const std::string right = read("robot.yaml");
  std::string bomb = "a0: &a0 [x,x,x,x,x,x,x,x,x]\n";
  for (int i = 1; i < 12; ++i) {
    bomb += fmt::format("a{0}: &a{0} [*a{1},*a{1},*a{1},*a{1},*a{1},*a{1},*a{1},*a{1},*a{1}]\n", i, i - 1);
  }
  const std::vector<StagedFault> faults = {
      {"tab", [](const std::string& t) { return replaced(t, "  track", "\ttrack"); }, "robot.yaml:6"},
      {"typo", [](const std::string& t) { return replaced(t, "track_width_m", "track_widht_m"); }, "track_width_m"},
      {"impossible", [](const std::string& t) { return replaced(t, "0.3\n", "-0.3\n"); }, "robot.yaml:6"},
      {"word", [](const std::string& t) { return replaced(t, "0.3\n", "wide\n"); }, "robot.yaml:6"},
      {"no version", [](const std::string& t) { return replaced(t, "wainscot_robot: 1\n", ""); }, "wainscot_robot"},
      {"newer version", [](const std::string& t) { return replaced(t, "robot: 1", "robot: 2"); }, "robot.yaml:2"},
      {"alias bomb", [&](const std::string& t) { return t + bomb; }, "robot.yaml"},
      {"empty", [](const std::string&) { return std::string(); }, "robot.yaml"},
  };
  for (const StagedFault& fault : faults) {
    SCOPED_TRACE(fault.name);
    write("robot.yaml", fault.change(right));
    expect_build_refused(fault.part);
  }
}

TEST_F(BuildCommand, DataThatIsTooPoor) {
  write("scans.csv", scans(1, true));
  expect_build_refused("scan", 1);
  write("scans.csv", scans(drive_scans, false));
  expect_refused("build drive --out flat --quiet", 1, "scan");
}

// The robot drives forward while every scan says that it goes back: the map is a wreck, and nobody may take it for one.
TEST_F(BuildCommand, AWreckEndsWithStatusOne) {
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
  EXPECT_EQ(outcome.err.rfind("Verdict: not to be used: only ", 0), 0U) << outcome.err;
  EXPECT_NE(outcome.err.find("\nwainscot: the map in flat is there to be looked at"), std::string::npos);
}

TEST_F(BuildCommand, WarningsStandBeforeTheSentenceOfPoorData) {
  write("scans.csv", scans(drive_scans, false));
  const Outcome outcome = run("build drive --out flat");
  EXPECT_EQ(outcome.status, 1);
  EXPECT_EQ(outcome.err.rfind("Warning: drive/scans.csv: holds no return at all", 0), 0U) << outcome.err;
  EXPECT_NE(outcome.err.find("\nwainscot: "), std::string::npos) << outcome.err;
}

TEST_F(BuildCommand, AFullDiskIsOneSentence) {
  const Outcome outcome = run("build drive --out flat", "ulimit -f 8;");
  EXPECT_EQ(outcome.status, 2);
  EXPECT_EQ(std::count(outcome.err.begin(), outcome.err.end(), '\n'), 1) << outcome.err;
  EXPECT_NE(outcome.err.find("cannot be written"), std::string::npos) << outcome.err;
  EXPECT_EQ(entries().size(), 5U);
}

}  // namespace
}  // namespace wainscot
