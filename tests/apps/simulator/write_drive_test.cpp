#include "apps/simulator/write_drive.hpp"

#include <fstream>
#include <iterator>
#include <map>
#include <sstream>
#include <string>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "small_house.hpp"

namespace wainscot::simulator {
namespace {

namespace fs = std::filesystem;

class WriteDrive : public testing::Test {
 protected:
  void SetUp() override {
    folder_ = fs::path(testing::TempDir()) /
              ("write_drive_" + std::string(testing::UnitTest::GetInstance()->current_test_info()->name()));
    fs::remove_all(folder_);
    fs::create_directories(folder_);
  }
  void TearDown() override { fs::remove_all(folder_); }

  static std::string text(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
  }
  static std::map<std::string, std::string> files(const fs::path& folder) {
    std::map<std::string, std::string> all;
    for (const auto& entry : fs::directory_iterator(folder)) all[entry.path().filename()] = text(entry.path());
    return all;
  }

  fs::path folder_;
};

Plan noisy() {
  Plan plan = two_rooms();
  plan.defects = Defects();
  plan.robot.lidar.range_step_m = 0.001;
  return plan;
}

TEST_F(WriteDrive, TheSameSeedGivesTheSameBytes) {
  const Plan plan = noisy();
  write_drive(simulate(plan, 4), plan.robot, folder_ / "a");
  write_drive(simulate(plan, 4), plan.robot, folder_ / "b");
  EXPECT_EQ(files(folder_ / "a"), files(folder_ / "b"));
  write_drive(simulate(plan, 5), plan.robot, folder_ / "c");
  EXPECT_NE(files(folder_ / "a"), files(folder_ / "c"));
}

TEST_F(WriteDrive, WritesTheFilesOfItsForm) {
  Plan plan = noisy();
  const auto names = [this, &plan](const char* name) {
    write_drive(simulate(plan, 1), plan.robot, folder_ / name);
    std::string all;
    for (const auto& [file, unused] : files(folder_ / name)) all += file + " ";
    return all;
  };
  EXPECT_EQ(names("a"), "robot.yaml scans.csv truth.csv wheels.csv ");
  plan.robot.gyro = true;
  plan.robot.motion_log = MotionLog::odometry;
  plan.robot.lidar_log = LidarLog::returns;
  EXPECT_EQ(names("b"), "gyro.csv odometry.csv returns.csv robot.yaml truth.csv ");
}

TEST_F(WriteDrive, ScansReadBackAsTheyWere) {
  const Plan plan = noisy();
  const SimulatedDrive drive = simulate(plan, 6);
  write_drive(drive, plan.robot, folder_ / "d");
  std::istringstream in(text(folder_ / "d" / "scans.csv"));
  std::string line;
  std::getline(in, line);
  EXPECT_EQ(line.substr(0, 14), "time_s,0,1,2,3");
  std::size_t row = 0;
  int empty = 0;
  while (std::getline(in, line)) {
    std::istringstream cells(line + ",");
    std::string cell;
    std::getline(cells, cell, ',');
    EXPECT_NEAR(std::stod(cell), drive.scans[row].time_s, 0.6e-5);
    for (const float range : drive.scans[row].range_m) {
      std::getline(cells, cell, ',');
      if (std::isnan(range)) {
        EXPECT_EQ(cell, "");
        ++empty;
      } else {
        EXPECT_NEAR(std::stod(cell), static_cast<double>(range), 1e-5);
        EXPECT_EQ(cell.size(), cell.find('.') + 4) << "millimetres have three decimals";
      }
    }
    ++row;
  }
  EXPECT_EQ(row, drive.scans.size());
  EXPECT_GT(empty, 0);
}

TEST_F(WriteDrive, MillimetresAndOtherStepsHaveTheDecimalsTheyNeed) {
  Plan plan = noisy();
  plan.robot.lidar.range_unit_m = 0.001;
  write_drive(simulate(plan, 6), plan.robot, folder_ / "mm");
  const std::string scans = text(folder_ / "mm" / "scans.csv");
  const std::string row = scans.substr(scans.find('\n') + 1, 40);
  EXPECT_EQ(row.find('.', 8), std::string::npos) << row;
  EXPECT_NE(text(folder_ / "mm" / "robot.yaml").find("range_unit_m: 0.001"), std::string::npos);
}

TEST_F(WriteDrive, RefusesAFolderThatIsThere) {
  const Plan plan = noisy();
  const SimulatedDrive drive = simulate(plan, 1);
  write_drive(drive, plan.robot, folder_ / "a");
  EXPECT_THROW(write_drive(drive, plan.robot, folder_ / "a"), InputError);

  // Something else is never replaced, and nothing is left lying about.
  fs::create_directory(folder_ / "letters");
  std::ofstream(folder_ / "letters" / "mine.txt") << "dear";
  EXPECT_THROW(write_drive(drive, plan.robot, folder_ / "letters"), InputError);
  EXPECT_EQ(files(folder_ / "letters").size(), 1U);
  EXPECT_THROW(write_drive(drive, plan.robot, folder_ / "nowhere" / "deep"), InputError);
  EXPECT_EQ(std::distance(fs::directory_iterator(folder_), fs::directory_iterator()), 2);
}

TEST_F(WriteDrive, SurfacesAreWrittenWithTheirKinds) {
  write_surfaces(surfaces_of(two_rooms()), folder_ / "surfaces.csv");
  const std::string all = text(folder_ / "surfaces.csv");
  EXPECT_EQ(all.substr(0, all.find('\n')), "x1_m,y1_m,x2_m,y2_m,kind,face");
  for (const char* kind : {",wall,", ",furniture,", ",door,", ",glass,"}) EXPECT_NE(all.find(kind), std::string::npos);
}

}  // namespace
}  // namespace wainscot::simulator
