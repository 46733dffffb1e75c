#include "graph/mapping/map_account.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "graph/mapping/mapper.hpp"
#include "tests/graph/scene.hpp"
#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

const RefinedConstant& constant(const Map& map, const std::string& name) {
  const auto row = std::find_if(map.constants.begin(), map.constants.end(),
                                [&](const RefinedConstant& c) { return c.name == name; });
  if (row == map.constants.end()) throw std::runtime_error(name + " is not in the account");
  return *row;
}

TEST(MapAccount, RefusalCountsWhatWasLeftOut) {
  Drive drive;
  drive.scans.resize(12);
  Quality quality;
  quality.scans_outside_odometry = 7;
  quality.scans_without_enough_returns = 4;
  try {
    throw_too_few_scans(drive, quality);
    FAIL() << "no exception";
  } catch (const PoorData& poor) {
    const std::string text = poor.what();
    EXPECT_NE(text.find("has 12, of which 7 lie outside"), std::string::npos) << text;
    EXPECT_NE(text.find("4 hold fewer returns"), std::string::npos) << text;
  }
}

// The adjustment's terms (way, turn, curvature) told as the keys of robot.yaml: the truth of the simulated robot.
TEST(MapAccount, ConstantsAreToldInTheUnitsOfRobotYaml) {
  simulator::Plan plan = ring_house(1);
  plan.defects.left_m_per_tick_error_rel = simulator::Knob::fixed(0.01);
  plan.defects.right_m_per_tick_error_rel = simulator::Knob::fixed(-0.005);
  plan.defects.track_width_error_rel = simulator::Knob::fixed(0.02);
  plan.defects.mounting_heading_error_deg = simulator::Knob::fixed(0.4);
  plan.defects.stamp_delay_s = simulator::Knob::fixed(0.015);
  DrivenHouse house = driven(plan);
  house.drive.robot.motion_noise = {};
  MapperOptions options;
  options.threads = 1;
  const Map map = build_map(house.drive, options);
  const RefinedConstant& left = constant(map, "drive.left_m_per_tick");
  const RefinedConstant& right = constant(map, "drive.right_m_per_tick");
  const RefinedConstant& width = constant(map, "drive.track_width_m");
  EXPECT_EQ(left.stated, house.drive.robot.drive->left_m_per_tick);
  EXPECT_NEAR(left.stated_sd, 0.01 * left.stated, 1e-9 * left.stated);
  EXPECT_NEAR(left.found / house.truth.left_m_per_tick, 1.0, 0.003);
  EXPECT_NEAR(right.found / house.truth.right_m_per_tick, 1.0, 0.003);
  EXPECT_NEAR(left.found / right.found, 1.0, 0.001);  // what a straight line shows
  EXPECT_NEAR(width.found / house.truth.track_width_m, 1.0, 0.005);
  EXPECT_TRUE(width.observed);
  EXPECT_LT(width.found_sd, 0.5 * width.stated_sd);
  const RefinedConstant& heading = constant(map, "lidar.heading_deg");
  EXPECT_EQ(heading.unit, "deg");
  EXPECT_NEAR(heading.found - heading.stated, 0.4, 0.05);
  EXPECT_NEAR(constant(map, "lidar.time_offset_s").found, -0.015, 0.002);
  for (const RefinedConstant& row : map.constants) {
    EXPECT_EQ(row.observed, row.found_sd < 0.5 * row.stated_sd) << row.name;
    EXPECT_EQ(row.name.find("gyro"), std::string::npos) << "the robot has none";
  }
}

TEST(MapAccount, GraphAndWallPiecesAreInTheMapFrame) {
  const DrivenHouse house = driven(ring_house(1));
  MapperOptions options;
  options.threads = 1;
  const Map map = build_map(house.drive, options);
  for (const Node& node : map.graph.nodes) {
    const auto row = std::find_if(map.trajectory.begin(), map.trajectory.end(),
                                  [&](const TrajectoryRow& r) { return r.time_s == node.time_s; });
    ASSERT_NE(row, map.trajectory.end());
    EXPECT_EQ(row->pose.x_m, node.pose.x_m);
  }
  // Every piece lies on a true face, its normal towards the air.
  const Pose2 start = house.true_pose(map.trajectory.front().time_s);
  ASSERT_GT(map.wall_pieces.size(), 50U);
  int outer = 0;
  for (const WallPiece& piece : map.wall_pieces) {
    const Eigen::Vector2d world = start * piece.middle_m;
    const double normal = wrap_angle(piece.normal_rad + start.heading_rad);
    EXPECT_GE(piece.nodes, 2);
    EXPECT_GT(piece.sd_m, 0.0);
    if (std::abs(world.y()) > 0.05 || piece.half_length_m < 0.1) continue;  // the south wall's face lies at y = 0
    ++outer;
    EXPECT_NEAR(world.y(), 0.0, 0.005);
    EXPECT_NEAR(normal, 0.5 * std::numbers::pi, 0.05);
  }
  EXPECT_GT(outer, 5);
  EXPECT_GT(map.quality.matched_fraction, 0.8);
  EXPECT_LE(map.quality.position_sd_median_m, map.quality.position_sd_worst_m);
  EXPECT_NEAR(map.quality.path_length_m, 16.0, 3.0);
}

}  // namespace
}  // namespace wainscot
