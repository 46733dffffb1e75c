// The command `simulate`, run with the real program as a user runs it.

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

namespace wainscot {
namespace {

namespace fs = std::filesystem;

class SimulateCommand : public testing::Test {
 protected:
  SimulateCommand()
      : folder_(fs::path(testing::TempDir()) /
                ("simulate_" + std::string(testing::UnitTest::GetInstance()->current_test_info()->name()))) {
    fs::remove_all(folder_);
    fs::create_directories(folder_);
    std::ofstream(folder_ / "plan.yaml") << "wainscot_plan: 1\n"
                                            "walls:\n"
                                            "  - {from: [-0.1, 0], to: [5.1, 0], thickness_m: 0.2}\n"
                                            "  - {from: [5, 0], to: [5, 4], thickness_m: 0.2}\n"
                                            "  - {from: [-0.1, 4], to: [5.1, 4], thickness_m: 0.2}\n"
                                            "  - {from: [0, 0], to: [0, 4], thickness_m: 0.2}\n"
                                            "route: [[1, 1], [4, 1], [4, 3]]\n";
  }
  ~SimulateCommand() override { fs::remove_all(folder_); }

  /// Runs `wainscot simulate` in the test's folder; returns its status.
  int run(const std::string& arguments) {
    const std::string command =
        fmt::format("cd '{}' && '{}' simulate {} >out.txt 2>err.txt", folder_.string(), WAINSCOT_PROGRAM, arguments);
    const int status = std::system(command.c_str());
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  }

  std::string text(const std::string& file) const {
    std::ifstream in(folder_ / file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
  }

  std::map<std::string, std::string> drive(const std::string& name) const {
    std::map<std::string, std::string> files;
    for (const auto& entry : fs::directory_iterator(folder_ / name)) {
      files[entry.path().filename()] = text(name + "/" + entry.path().filename().string());
    }
    return files;
  }

  fs::path folder_;
};

// It became another number, without a word.
TEST_F(SimulateCommand, ANumberThatIsTooLargeIsRefused) {
  for (const std::string option : {"--random-house", "--seed"}) {
    const std::string house = option == "--seed" ? "--random-house 3 " : "";
    EXPECT_EQ(run(house + option + " 99999999999999999999 --write-plan made.yaml"), 2);
    EXPECT_NE(text("err.txt").find("99999999999999999999 is not a whole number from 0 to 18446744073709551615"),
              std::string::npos)
        << text("err.txt");
    EXPECT_FALSE(fs::exists(folder_ / "made.yaml"));
  }
}

TEST_F(SimulateCommand, WritesTheSameDriveForTheSameSeed) {
  ASSERT_EQ(run("plan.yaml --seed 3 --out a"), 0) << text("err.txt");
  ASSERT_EQ(run("plan.yaml --seed 3 --out b"), 0);
  ASSERT_EQ(run("plan.yaml --seed 4 --out c"), 0);
  EXPECT_EQ(drive("a").size(), 4U);
  EXPECT_EQ(drive("a"), drive("b"));
  EXPECT_NE(drive("a"), drive("c"));
  EXPECT_EQ(text("out.txt"), "");  // results on standard output: there are none
}

TEST_F(SimulateCommand, ARandomHousesPlanMakesTheSameDriveAgain) {
  ASSERT_EQ(run("--random-house 8 --seed 2 --calibrated --out a --write-plan p.yaml --surfaces s.csv"), 0)
      << text("err.txt");
  ASSERT_EQ(run("p.yaml --seed 2 --out b"), 0) << text("err.txt");
  EXPECT_EQ(drive("a"), drive("b"));
  EXPECT_NE(text("a/robot.yaml").find("track_width_sd_m"), std::string::npos);
  EXPECT_GT(text("s.csv").size(), 1000U);
}

TEST_F(SimulateCommand, AHardPlacesPlanMakesTheSameDriveAgain) {
  ASSERT_EQ(run("--hard-place lifted-robot --seed 2 --out a --write-plan p.yaml"), 0) << text("err.txt");
  ASSERT_EQ(run("p.yaml --seed 2 --out b"), 0) << text("err.txt");
  EXPECT_EQ(drive("a"), drive("b"));
  EXPECT_NE(text("p.yaml").find("lift:"), std::string::npos);
}

TEST_F(SimulateCommand, OptionsReachTheDrive) {
  ASSERT_EQ(run("plan.yaml --perfect --out a"), 0);
  ASSERT_EQ(run("plan.yaml --perfect --range-scale 1.01 --out b"), 0);
  ASSERT_EQ(run("plan.yaml --perfect --set range_scale=1.01 --out c"), 0);
  EXPECT_NE(drive("a"), drive("b"));
  EXPECT_EQ(drive("b"), drive("c"));
  ASSERT_EQ(run("plan.yaml --form odometry,returns --out d"), 0);
  EXPECT_EQ(drive("d").count("odometry.csv"), 1U);
  EXPECT_EQ(drive("d").count("returns.csv"), 1U);
  EXPECT_EQ(run("plan.yaml --out a"), 2);
  EXPECT_EQ(run("plan.yaml --out a --replace"), 0);
}

TEST_F(SimulateCommand, LikeRecordedWritesPosesAndFewScansFromAnyPlan) {
  for (const char* what : {"plan.yaml", "--random-house 4", "--hard-place round-room"}) {
    ASSERT_EQ(run(fmt::format("{} --seed 5 --like-recorded --out a --replace", what)), 0) << text("err.txt");
    ASSERT_EQ(run(fmt::format("{} --seed 5 --like-recorded --out b --replace --write-plan p.yaml --replace", what)), 0);
    EXPECT_EQ(drive("a"), drive("b"));
    EXPECT_TRUE(fs::exists(folder_ / "a" / "odometry.csv"));
    EXPECT_FALSE(fs::exists(folder_ / "a" / "wheels.csv"));
    ASSERT_EQ(run("p.yaml --seed 5 --out c --replace"), 0);
    EXPECT_EQ(drive("a"), drive("c"));
    ASSERT_EQ(run(fmt::format("{} --seed 6 --like-recorded --out d --replace", what)), 0);
    EXPECT_NE(drive("a"), drive("d"));
  }
  ASSERT_EQ(run("plan.yaml --perfect --out e"), 0);
  ASSERT_EQ(run("plan.yaml --perfect --robot lidar.beams=90 --set range_rounding_m=0.05 --out f"), 0);
  ASSERT_EQ(run("plan.yaml --perfect --robot lidar.beams=90 --set range_rounding_m=0.05 --not-told range_rounding_m "
                "--out g"),
            0);
  EXPECT_LT(text("f/scans.csv").size(), text("e/scans.csv").size() / 3);
  EXPECT_EQ(text("f/scans.csv"), text("g/scans.csv"));
  EXPECT_NE(text("f/robot.yaml"), text("g/robot.yaml"));
}

TEST_F(SimulateCommand, MarkersSurveyAndGyroAreWrittenOnRequest) {
  ASSERT_EQ(run("plan.yaml --out plain"), 0) << text("err.txt");
  ASSERT_EQ(run("plan.yaml --markers 3 --survey --gyro --out marked"), 0) << text("err.txt");
  for (const char* file : {"markers.csv", "marker_map.csv", "gyro.csv"}) {
    EXPECT_FALSE(fs::exists(folder_ / "plain" / file)) << file;
    EXPECT_TRUE(fs::exists(folder_ / "marked" / file)) << file;
  }
  EXPECT_EQ(text("plain/scans.csv"), text("marked/scans.csv"));  // nothing else changes
  EXPECT_EQ(text("plain/wheels.csv"), text("marked/wheels.csv"));
  EXPECT_EQ(run("plan.yaml --survey --out unmarked"), 2);
  EXPECT_NE(text("err.txt").find("add --markers COUNT"), std::string::npos) << text("err.txt");
}

TEST_F(SimulateCommand, WhatIsReplacedIsOfTheSameKindAndHasNoFolders) {
  ASSERT_EQ(run("plan.yaml --seed 3 --out a"), 0) << text("err.txt");
  std::ofstream(folder_ / "a" / "notes.txt") << "mine";
  ASSERT_EQ(run("plan.yaml --seed 4 --out b"), 0);
  ASSERT_EQ(run("plan.yaml --seed 4 --out a/ --replace"), 0) << text("err.txt");
  EXPECT_EQ(drive("a"), drive("b"));
  fs::create_directory(folder_ / "a" / "letters");
  EXPECT_EQ(run("plan.yaml --seed 3 --out a --replace"), 2);
  EXPECT_NE(text("err.txt").find("a/letters: is a folder, which would be lost"), std::string::npos);
  fs::create_directory(folder_ / "other");
  EXPECT_EQ(run("plan.yaml --out other --replace"), 2);
  EXPECT_NE(text("err.txt").find("other: is there and is not a drive"), std::string::npos);
  EXPECT_EQ(run("plan.yaml --calibration-runs --out b --replace"), 2);
  EXPECT_NE(text("err.txt").find("b: is there and is not a folder of calibration runs"), std::string::npos);
  EXPECT_EQ(drive("b").size(), 4U);
}

TEST_F(SimulateCommand, AFullDiskIsOneSentenceAndLeavesNothing) {
  const int status = std::system(fmt::format("cd '{}' && ulimit -f 8 && '{}' simulate plan.yaml --out a 2>err.txt",
                                             folder_.string(), WAINSCOT_PROGRAM)
                                     .c_str());
  EXPECT_EQ(WIFEXITED(status) ? WEXITSTATUS(status) : -1, 2);
  EXPECT_EQ(text("err.txt").rfind("wainscot: a: cannot be written (File too large); ", 0), 0U) << text("err.txt");
  EXPECT_EQ(std::distance(fs::directory_iterator(folder_), {}), 2) << "plan.yaml, err.txt";
}

TEST_F(SimulateCommand, WrongInputIsOneSentenceAndStatusTwo) {
  std::ofstream(folder_ / "bad.yaml") << "wainscot_plan: 1\nrotue: []\n";
  const std::map<std::string, std::string> wrong = {
      {"bad.yaml --out x", "bad.yaml, line 2"},
      {"nothing.yaml --out x", "nothing.yaml"},
      {"--out x", "PLAN.yaml"},
      {"plan.yaml --random-house 3 --out x", "not two of them"},
      {"plan.yaml", "--out"},
      {"--hard-place lidar-200 --out x", "lidar-240"},
      {"--hard-place lidar-240 --random-house 3 --out x", "not two of them"},
      {"plan.yaml --hard-place lidar-240 --out x", "not two of them"},
      {"plan.yaml --set dropout=1 --out x", "dropout_rate"},
      {"plan.yaml --set dropout_rate=2 --out x", "0 to 1"},
      {"plan.yaml --set dropout_rate --out x", "defect=value"},
      {"plan.yaml --not-told range_noice_m --out x", "range_noise_m"},
      {"plan.yaml --robot lidar.beams --out x", "key=value"},
      {"plan.yaml --robot lidar.beam=361 --out x", "lidar.beam=361: lidar has no key \"beam\""},
      {"plan.yaml --robot lidar.beams=1 --out x", "must lie within 4 to 20000"},
      {"plan.yaml --set range_rounding_m=2 --out x", "0 to 0.5"},
      {"plan.yaml --like-recorded --form returns --out x", "cannot log single returns"},
      {"--like-recorded --out x", "PLAN.yaml"},
      {"plan.yaml --range-scale 99 --out x", "range_scale"},
      {"plan.yaml --form wheel --out x", "odometry"},
      {"plan.yaml --seed minus --out x", "seed"},
      {"plan.yaml --out no/where/x", "no/where/x"},
  };
  for (const auto& [arguments, words] : wrong) {
    EXPECT_EQ(run(arguments), 2) << arguments;
    const std::string said = text("err.txt");
    EXPECT_NE(said.find(words), std::string::npos) << arguments << ": " << said;
    EXPECT_EQ(std::count(said.begin(), said.end(), '\n'), 1) << said;
    EXPECT_FALSE(fs::exists(folder_ / "x")) << arguments;
  }
}

TEST_F(SimulateCommand, HelpNamesEveryDefectAndAnExample) {
  ASSERT_EQ(run("--help"), 0);
  const std::string help = text("out.txt");
  for (const char* word : {"bare-corridor", "sees 180 degrees ahead", "stamp_delay_s", "threshold_tilt_deg",
                           "hand_wobble_rad_s", "wainscot simulate --random-house"}) {
    EXPECT_NE(help.find(word), std::string::npos) << word;
  }
}

}  // namespace
}  // namespace wainscot
