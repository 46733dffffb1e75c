// The command `calibrate`, run with the real program as a user runs it.

#include <sys/wait.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

class CalibrateCommand : public testing::Test {
 protected:
  CalibrateCommand() {
    fs::create_directory(path("runs"));
    write("runs/robot.yaml",
          "# my robot\nwainscot_robot: 1\ndrive:\n  left_m_per_tick: 1.1e-4  # a guess\n  right_m_per_tick: 1.1e-4\n"
          "  track_width_m: 0.28\nlidar: {x_m: 0.04}\n");
    write("runs/runs.csv", header() + good_rows());
  }

  static std::string header() { return "run,surface,forward_m,left_m,turn_deg,left_ticks,right_ticks\n"; }
  /// Of a robot with 1.0e-4 m a tick and a width of 0.3 m.
  static std::string good_rows() {
    return "ahead-1,wood,2.001,0.002,0.1,20000,20005\nahead-2,wood,1.999,-0.003,-0.1,20000,19995\n"
           "left-1,wood,,,360.2,-9425,9425\nright-1,wood,,,-359.7,9425,-9425\nleft-2,wood,,,720.3,-18850,18850\n"
           "right-2,wood,,,-719.6,18850,-18850\n";
  }

  fs::path path(const std::string& name) const { return folder_.path() / name; }
  void write(const std::string& name, const std::string& text) const {
    std::ofstream(path(name), std::ios::binary) << text;
  }
  std::string text(const std::string& name) const {
    std::ifstream in(path(name), std::ios::binary);
    return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
  }
  /// Runs `wainscot ARGUMENTS`; returns its status.
  int run(const std::string& arguments) const {
    const int status = std::system(fmt::format("cd '{}' && '{}' {} >out.txt 2>err.txt </dev/null",
                                               folder_.path().string(), WAINSCOT_PROGRAM, arguments)
                                       .c_str());
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  }
  void expect_refused(const std::string& arguments, int status, const std::string& words) const {
    EXPECT_EQ(run(arguments), status) << arguments;
    const std::string said = text("err.txt");
    EXPECT_NE(said.find(words), std::string::npos) << arguments << ": " << said;
    EXPECT_EQ(std::count(said.begin(), said.end(), '\n'), 1) << said;
    EXPECT_EQ(text("out.txt"), "");
    EXPECT_FALSE(fs::exists(path("new.yaml"))) << arguments;
  }

  ReaderFolder folder_;
};

TEST_F(CalibrateCommand, RunsBecomeARobotAndAHeader) {
  ASSERT_EQ(run("calibrate runs --write new.yaml --c-header wheels.h"), 0) << text("err.txt");
  const std::string out = text("out.txt");
  for (const char* words : {"left_m_per_tick", "track_width_m on wood", "2 m straight ahead", "a turn of 90° on wood",
                            "10 m with four turns", "Half of that would take", "ahead-1", "6 runs on 1 surface"}) {
    EXPECT_NE(out.find(words), std::string::npos) << words << "\n" << out;
  }
  EXPECT_EQ(out.find("Do the surfaces differ"), std::string::npos);
  EXPECT_NE(text("err.txt").find("Caution: "), std::string::npos);
  EXPECT_NE(text("err.txt").find("wainscot build"), std::string::npos);
  const std::string robot = text("new.yaml");
  EXPECT_EQ(robot.rfind("# my robot\nwainscot_robot: 1\ndrive:\n  left_m_per_tick: ", 0), 0U) << robot;
  EXPECT_NE(robot.find("  # a guess\n"), std::string::npos);
  EXPECT_NE(robot.find("track_width_by_surface_m: {wood: 0.3"), std::string::npos) << robot;
  EXPECT_NE(robot.find("lidar: {x_m: 0.04}\n"), std::string::npos);
  EXPECT_EQ(std::system(fmt::format("cd '{}' && printf '#include \"wheels.h\"\\nint main(void) {{ return "
                                    "(int)(LEFT_TICKS_PER_MM + RIGHT_TICKS_PER_DEGREE_WOOD) == 36 ? 0 : 1; }}' > m.c "
                                    "&& cc -std=c90 -pedantic -Wall -Werror m.c -o m && ./m",
                                    folder_.path().string())
                            .c_str()),
            0)
      << text("wheels.h");
  // What was written is there to be used: the same runs with the new file give the same constants again.
  fs::copy_file(path("new.yaml"), path("runs/robot.yaml"), fs::copy_options::overwrite_existing);
  ASSERT_EQ(run("calibrate runs --write again.yaml"), 0);
  EXPECT_EQ(text("again.yaml").substr(0, 70), robot.substr(0, 70));
}

TEST_F(CalibrateCommand, OverwritesNothingUnasked) {
  write("new.yaml", "mine");
  EXPECT_EQ(run("calibrate runs --write new.yaml"), 2);
  EXPECT_EQ(text("new.yaml"), "mine");
  EXPECT_EQ(run("calibrate runs --write new.yaml --replace"), 0);
  EXPECT_NE(text("new.yaml"), "mine");
}

TEST_F(CalibrateCommand, BothFilesAreWrittenOrNone) {
  expect_refused("calibrate runs --write new.yaml --c-header new.yaml", 2, "new.yaml: is asked for twice");
  expect_refused("calibrate runs --write new.yaml --c-header runs --replace", 2, "runs: cannot be written");
  EXPECT_FALSE(fs::exists(path("new.yaml")));
}

TEST_F(CalibrateCommand, WrongInputIsOneSentence) {
  expect_refused("calibrate absent --write new.yaml", 2, "absent");
  expect_refused("calibrate runs --leave-out ahead-3", 2, "did you mean ahead-1");
  expect_refused("calibrate runs --write absent/new.yaml", 2, "cannot be written");
  const std::map<std::string, std::string> wrong = {
      {"far,wood,2000,,0,20000,20000\n",
       "runs.csv:8: forward_m is 2000, but by their ticks the wheels rolled about 2.2 m; its unit is metres"},
      {"spin,wood,,,3600,-9425,9425\n", "runs.csv:8: turn_deg is 3600"},
      {"none,wood,2,,0,,\n", "runs.csv:8"},
  };
  for (const auto& [row, words] : wrong) {
    write("runs/runs.csv", header() + good_rows() + row);
    expect_refused("calibrate runs --write new.yaml", 2, words);
  }
  write("runs/runs.csv", "run,surface,forward_m,left_m,turn_deg,wheels\na,wood,2,,0,a.csv\n");
  expect_refused("calibrate runs", 2, "runs.csv:2: wheels is a.csv, which is not in the folder");
}

TEST_F(CalibrateCommand, RunsThatCannotTellEndWithStatusOne) {
  write("runs/runs.csv", header() + "ahead-1,wood,2.001,0.002,0.1,20000,20005\n");
  expect_refused("calibrate runs --write new.yaml", 1, "a turn on the spot on wood");
  write("runs/runs.csv", header() + "ahead-1,wood,2.0,0,0,20000,20000\nahead-2,wood,1.5,0,0,20000,20000\n");
  expect_refused("calibrate runs --write new.yaml", 1, "ahead-1 and ahead-2 contradict each other");
}

TEST_F(CalibrateCommand, ANewcomerTriesItWithoutARobot) {
  ASSERT_EQ(run("simulate --random-house 7 --seed 3 --calibration-runs --out sim"), 0) << text("err.txt");
  EXPECT_NE(text("err.txt").find("wainscot calibrate sim"), std::string::npos);
  ASSERT_EQ(run("calibrate sim"), 0) << text("err.txt");
  const std::string out = text("out.txt");
  EXPECT_EQ(out.rfind("Simulated runs", 0), 0U);
  EXPECT_NE(out.find("Do the surfaces differ? F("), std::string::npos);
  EXPECT_NE(out.find("Square-path test (Borenstein & Feng 1996)"), std::string::npos);
  ASSERT_EQ(run("calibrate sim"), 0);
  EXPECT_EQ(text("out.txt"), out);  // the same bytes again
  EXPECT_EQ(run("simulate --random-house 7 --calibration-runs --out sim"), 2);
}

TEST_F(CalibrateCommand, ADriveShowsWheelsAndLidar) {
  write("plan.yaml",
        "wainscot_plan: 1\nwalls:\n  - {from: [-0.1, 0], to: [5.1, 0], thickness_m: 0.2}\n"
        "  - {from: [5, 0], to: [5, 4], thickness_m: 0.2}\n  - {from: [-0.1, 4], to: [5.1, 4], thickness_m: 0.2}\n"
        "  - {from: [0, 0], to: [0, 4], thickness_m: 0.2}\n"
        "route: [[1, 1], [4, 1], [4, 3], [1, 3], [1, 1], [2.5, 2], [4, 3], [4, 1], [1, 1]]\n");
  ASSERT_EQ(run("simulate plan.yaml --out drive"), 0) << text("err.txt");
  ASSERT_EQ(run("calibrate drive --write new.yaml"), 0) << text("err.txt");
  for (const char* words : {"lidar.heading_deg", "lidar.time_offset_s", "The lidar's metre", "In the map that"}) {
    EXPECT_NE(text("out.txt").find(words), std::string::npos) << words << "\n" << text("out.txt");
  }
  EXPECT_NE(text("new.yaml").find("time_offset_s: "), std::string::npos) << text("new.yaml");
  ASSERT_EQ(run("calibrate drive --no-map"), 0) << text("err.txt");
  EXPECT_EQ(text("out.txt").find("In the map that"), std::string::npos);
  ASSERT_EQ(run("simulate plan.yaml --form odometry --out odometry"), 0);
  fs::remove(path("new.yaml"));
  expect_refused("calibrate odometry --write new.yaml", 2, "record wheels.csv");
}

TEST_F(CalibrateCommand, FoldersThatCannotBeTakenTogetherAreRefused) {
  expect_refused("calibrate runs runs/ --write new.yaml", 2, "runs/: is given twice");
  fs::create_directory(path("nothing"));
  expect_refused("calibrate runs nothing --write new.yaml", 2,
                 "nothing: holds neither calibration runs (runs.csv) nor a drive");
  expect_refused("calibrate runs runs/runs.csv", 2, "runs/runs.csv: is not a folder");
  fs::copy(path("runs"), path("copy"));
  expect_refused("calibrate runs copy --write new.yaml", 2, "copy: holds the same counts as runs");
  fs::create_directory(path("others"));
  fs::copy_file(path("runs/robot.yaml"), path("others/robot.yaml"));
  write("others/runs.csv", header() +
                               "ahead-1,wood,2.001,0.002,0.1,15000,15005\nahead-2,wood,1.999,-0.003,-0.1,15000,14995\n"
                               "left-1,wood,,,360.2,-7000,7000\nright-1,wood,,,-359.7,7000,-7000\n");
  expect_refused("calibrate runs others --write new.yaml", 1, "the runs runs and the runs others are not of one robot");
}

// A lidar that measures 1 % long: the tape tells, and the drive alone cannot.
TEST_F(CalibrateCommand, RunsAndADriveTogetherTellTheLidarsMetre) {
  ASSERT_EQ(run("simulate --random-house 7 --seed 3 --calibration-runs --out sim"), 0) << text("err.txt");
  ASSERT_EQ(run("simulate --random-house 7 --seed 3 --set range_scale=1.01 --out drive"), 0) << text("err.txt");
  ASSERT_EQ(run("calibrate sim drive --no-map --write new.yaml"), 0) << text("err.txt");
  const std::string out = text("out.txt");
  for (const char* words :
       {"All together (the runs sim, the drive drive)", "95 % ±", "known best to", "range_scale: 0.99"}) {
    EXPECT_NE(out.find(words), std::string::npos) << words << "\n" << out;
  }
  EXPECT_EQ(out.find("Contradiction"), std::string::npos) << out;
  EXPECT_NE(text("new.yaml").find("range_scale: 0.99"), std::string::npos) << text("new.yaml");
  const std::string together = out.substr(out.find("All together"));
  ASSERT_EQ(run("calibrate drive sim --no-map"), 0) << text("err.txt");
  const std::string turned = text("out.txt").substr(text("out.txt").find("All together"));
  EXPECT_EQ(turned.substr(turned.find('\n')), together.substr(together.find('\n'))) << "the order is no matter";
}

}  // namespace
}  // namespace wainscot
