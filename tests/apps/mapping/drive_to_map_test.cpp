#include "apps/mapping/drive_to_map.hpp"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <sstream>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

/// A folder with a simulated drive once around a ring of rooms.
class DriveToMap : public testing::Test {
 protected:
  DriveToMap() {
    simulator::Plan plan = ring_house(1);
    plan.defects.range_noise_m = simulator::Knob::fixed(0.01);
    plan.robot.lidar.y_m = 0.09;
    simulator::write_drive(simulator::simulate(plan, 1), plan.robot, drive_);
  }

  std::string read(const char* name) const {
    std::ifstream in(drive_ / name);
    return {std::istreambuf_iterator<char>(in), {}};
  }
  void write(const char* name, const std::string& text) const { std::ofstream(drive_ / name) << text; }
  void robot_yaml_without(const std::vector<std::string>& keys) const {
    std::istringstream lines(read("robot.yaml"));
    std::string kept;
    for (std::string line; std::getline(lines, line);) {
      const auto is_key = [&line](const std::string& key) { return line.starts_with("  " + key + ":"); };
      if (std::none_of(keys.begin(), keys.end(), is_key)) kept += line + "\n";
    }
    write("robot.yaml", kept);
  }
  Drive to_map(bool even_so = false) const {
    DriveToMapOptions options;
    options.even_so = even_so;
    options.threads = 1;
    return drive_to_map(drive_, options);
  }
  std::string refusal() const {
    try {
      to_map();
    } catch (const PoorData& poor) {
      return poor.what();
    }
    return "";
  }

  ReaderFolder folder_;
  const std::filesystem::path drive_ = folder_.path() / "drive";
};

TEST_F(DriveToMap, ASoundDriveIsAsItIsRead) {
  const Drive drive = to_map();
  EXPECT_EQ(drive.robot.lidar.y_m, 0.09);
  EXPECT_TRUE(drive.warnings.empty());
  EXPECT_EQ(drive.checksum, read_drive(drive_).checksum);
}

TEST_F(DriveToMap, AFaultThatWouldSpoilTheMapEndsItUnlessTheUserKnows) {
  write("robot.yaml", read("robot.yaml") + "  mirrored: true\n");
  const std::string text = refusal();
  EXPECT_NE(text.find("every map of this drive would be wrong"), std::string::npos) << text;
  EXPECT_NE(text.find("robot.yaml needs lidar.mirrored: false"), std::string::npos) << text;
  EXPECT_NE(text.find("--even-so"), std::string::npos) << text;
  EXPECT_EQ(text.find('\n'), std::string::npos);
  const Drive drive = to_map(true);
  EXPECT_TRUE(drive.robot.lidar.mirrored);
  ASSERT_FALSE(drive.warnings.empty());
  EXPECT_EQ(drive.warnings.front().find("mapped even so: "), 0U);
}

TEST_F(DriveToMap, TheMappingBeginsWhereTheDriveShowsItShould) {
  const std::string text = read("robot.yaml");
  write("robot.yaml", text + "  time_offset_s: 0.5\n");
  const Drive drive = to_map();
  EXPECT_NEAR(drive.robot.lidar.time_offset_s, 0.0, 0.02);
  ASSERT_EQ(drive.warnings.size(), 1U);
  EXPECT_NE(drive.warnings.front().find("the mapping began with lidar.time_offset_s"), std::string::npos);
  write("robot.yaml", text);
  EXPECT_NEAR(drive.scans.front().time_s, read_drive(drive_).scans.front().time_s, 0.02);
}

TEST_F(DriveToMap, WhatRobotYamlLeavesOutIsFound) {
  const Robot truth = read_drive(drive_).robot;
  robot_yaml_without({"left_m_per_tick", "right_m_per_tick", "track_width_m", "left_sd_m_per_tick",
                      "right_sd_m_per_tick", "track_width_sd_m", "x_m", "y_m", "heading_deg"});
  const Drive drive = to_map();
  EXPECT_TRUE(drive.robot.left_out.found);
  EXPECT_NEAR(drive.robot.drive->track_width_m, truth.drive->track_width_m, 0.006);
  EXPECT_NEAR(drive.robot.lidar.y_m, 0.09, 0.006);
  // A wrong unit says more than that nothing could be found.
  write("robot.yaml", read("robot.yaml") + "  range_unit_m: 0.001\n");
  EXPECT_NE(refusal().find("robot.yaml needs lidar.range_unit_m: "), std::string::npos) << refusal();
}

}  // namespace
}  // namespace wainscot
