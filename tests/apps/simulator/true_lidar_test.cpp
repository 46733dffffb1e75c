#include "apps/simulator/true_lidar.hpp"

#include <vector>

#include <gtest/gtest.h>

#include "small_house.hpp"

namespace wainscot::simulator {
namespace {

TEST(TrueLidar, APerfectOneIsAsThePlanStatesIt) {
  Plan plan = empty_room();
  plan.robot.lidar.x_m = 0.05;
  plan.robot.lidar.heading_deg = 90.0;
  const TrueLidar lidar = draw_lidar(plan, 3, 1);
  EXPECT_EQ(lidar.x_m, 0.05);
  EXPECT_EQ(lidar.y_m, 0.0);
  EXPECT_NEAR(lidar.heading_rad, kPi / 2.0, 1e-15);
  EXPECT_EQ(lidar.range_scale, 1.0);
  EXPECT_NEAR(lidar.turn_s, 1.0 / plan.robot.lidar.turns_per_s, 1e-15);
  EXPECT_EQ(lidar.face_bias_m, std::vector<double>(3, 0.0));
}

TEST(TrueLidar, DefectsMoveItAndOneLeavesTheOthersAlone) {
  Plan plan = empty_room();
  plan.defects = Defects();
  const TrueLidar raw = draw_lidar(plan, 2, 1);
  plan.defects.mounting_x_error_m = Knob::fixed(0.01);
  plan.defects.clock_drift_ppm = Knob::fixed(50.0);
  plan.defects.range_scale = Knob::fixed(1.005);
  const TrueLidar changed = draw_lidar(plan, 2, 1);
  EXPECT_EQ(changed.x_m, 0.01);
  EXPECT_NEAR(changed.clock_drift_rel, 5e-5, 1e-18);
  EXPECT_EQ(changed.range_scale, 1.005);
  EXPECT_EQ(changed.y_m, raw.y_m);
  EXPECT_EQ(changed.heading_rad, raw.heading_rad);
  EXPECT_EQ(changed.turn_s, raw.turn_s);
  EXPECT_EQ(changed.face_bias_m, raw.face_bias_m);
  EXPECT_NE(raw.face_bias_m[0], raw.face_bias_m[1]);
}

}  // namespace
}  // namespace wainscot::simulator
