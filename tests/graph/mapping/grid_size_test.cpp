#include "graph/mapping/grid_size.hpp"

#include <cmath>
#include <numbers>
#include <string>

#include <gtest/gtest.h>

#include "core/errors.hpp"

namespace wainscot {
namespace {

constexpr double kCellM = 0.05;

/// 1 m/s for so many seconds, turning as told, in a room of 5 m; a scan of 36 beams each second.
Drive drive_of(int seconds, double turn_rad_s) {
  Drive drive;
  drive.robot.lidar.max_range_m = 1000.0;
  Pose2 pose;
  for (int i = 0; i <= seconds; ++i) {
    drive.odometry.push_back({static_cast<double>(i), pose});
    pose = pose * Pose2{1.0, 0.0, turn_rad_s};
    Scan scan{static_cast<double>(i), {}};
    for (int beam = 0; beam < 36; ++beam) {
      scan.returns.push_back({static_cast<float>(beam * std::numbers::pi / 18.0), 5.0F, 0.0F});
    }
    drive.scans.push_back(scan);
  }
  return drive;
}

std::string said(const Drive& drive) {
  std::vector<std::size_t> scans;
  for (std::size_t i = 0; i < drive.scans.size(); ++i) scans.push_back(i);
  try {
    require_possible_grid(drive, scans, OdometryPath(odometry_steps(drive), {}), kCellM);
  } catch (const PoorData& error) {
    return error.what();
  }
  return "";
}

// "Stopped by a fault of its own", after the whole work of mapping.
TEST(GridSize, FarReturnsAreNamed) {
  Drive drive = drive_of(100, 0.1);
  EXPECT_EQ(said(drive), "");
  drive.scans[40].returns[3].range_m = 990.0F;  // one way only: a narrow map
  EXPECT_EQ(said(drive), "");
  for (const std::size_t beam : {3U, 12U, 21U, 30U}) drive.scans[40].returns[beam].range_m = 990.0F;
  drive.scans[41].returns[5].range_m = 1000.0F;  // no echo
  const std::string words = said(drive);
  EXPECT_EQ(words.rfind("the map would be 14", 0), 0U) << words;
  EXPECT_NE(
      words.find("of 0.05 m, of which there can be 400 million: the farthest return, 990.0 m at 40.000 s, makes it "
                 "so large, and 99 % of the returns are nearer than 5.0 m; state a smaller max_range_m in "
                 "robot.yaml (it is 1000)"),
      std::string::npos)
      << words;
}

TEST(GridSize, SoIsOdometryThatGoesTooFar) {
  Drive drive = drive_of(100, 0.1);
  for (TimedPose& row : drive.odometry) {  // millimetres for metres
    row.pose.x_m *= 1000.0;
    row.pose.y_m *= 1000.0;
  }
  EXPECT_EQ(said(drive).rfind("by odometry alone the map would be ", 0), 0U) << said(drive);
}

TEST(GridSize, ALongCorridorThatDriftBendsIsPossible) {
  EXPECT_EQ(said(drive_of(5000, 0.7 / 5000.0)), "");
  EXPECT_EQ(said(drive_of(5000, 0.0)), "");
}

// A ring of 1.3 km across, which drift may have bent to what it is.
TEST(GridSize, ScansThatSeeNothingMakeNoMapLarge) {
  Drive drive = drive_of(4000, 2.0 * std::numbers::pi / 4000.0);
  EXPECT_EQ(said(drive), "");
  for (Return& beam : drive.scans[7].returns) beam.range_m = 1000.0F;  // no echo
  drive.scans[8].returns.clear();
  EXPECT_EQ(said(drive), "");
}

TEST(GridSize, AtTheEndTheBoxDecides) {
  const Drive drive = drive_of(2, 0.0);
  const auto said_of = [&drive](double length_m, double width_m, double cell_size_m) {
    const Eigen::AlignedBox2d box(Eigen::Vector2d(-10.0, 5.0), Eigen::Vector2d(length_m - 10.0, width_m + 5.0));
    try {
      require_possible_grid(drive, {0, 1}, box, cell_size_m);
    } catch (const PoorData& error) {
      return std::string(error.what());
    }
    return std::string();
  };
  EXPECT_EQ(said_of(999.0, 999.0, kCellM), "");
  EXPECT_EQ(said_of(20'000.0, 10.0, kCellM), "");
  EXPECT_NE(said_of(999.0, 999.0, 0.04), "");
  EXPECT_EQ(
      said_of(1002.0, 1002.0, kCellM),
      "the map would be 1002 m by 1002 m, 402 million cells of 0.05 m, of which there can be 400 million: the "
      "farthest return, 5.0 m at 0.000 s, makes it so large, and 99 % of the returns are nearer than 5.0 m; state a "
      "smaller max_range_m in robot.yaml (it is 1000), or take larger cells");
  EXPECT_EQ(said_of(2000.0, 2000.0, kCellM),
            "the map would be 2000 m by 2000 m, 1600 million cells of 0.05 m, of which there can be 400 million, since "
            "the way itself is so long; take larger cells");
}

}  // namespace
}  // namespace wainscot
