#include "apps/simulator/like_recorded.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include <gtest/gtest.h>

#include "apps/simulator/plan_yaml.hpp"
#include "apps/simulator/simulate.hpp"
#include "small_house.hpp"

namespace wainscot::simulator {
namespace {

Plan home() {
  Plan plan = two_rooms();
  plan.defects = Defects();
  return plan;
}

TEST(LikeRecorded, IsDrawnFromItsSeed) {
  EXPECT_EQ(plan_text(like_recorded(home(), 3)), plan_text(like_recorded(home(), 3)));
  EXPECT_NE(plan_text(like_recorded(home(), 3)), plan_text(like_recorded(home(), 4)));
  const SimulatedDrive a = simulate(like_recorded(home(), 3), 3);
  const SimulatedDrive b = simulate(like_recorded(home(), 3), 3);
  ASSERT_EQ(a.odometry.size(), b.odometry.size());
  for (std::size_t i = 0; i < a.odometry.size(); ++i) ASSERT_EQ(a.odometry[i].pose.x_m, b.odometry[i].pose.x_m);
  ASSERT_EQ(a.scans.size(), b.scans.size());
}

TEST(LikeRecorded, NoiseIsMisstatedEitherWayByThreeAtMost) {
  int too_small = 0;
  for (std::uint64_t seed = 1; seed <= 40; ++seed) {
    Plan plan = home();
    misstate_noise(plan.defects, seed);
    for (const Knob& factor : {plan.defects.stated_range_noise_factor, plan.defects.stated_slip_factor}) {
      EXPECT_GE(factor.mean(), 0.33);
      EXPECT_LE(factor.mean(), 3.0);
      too_small += factor.mean() < 1.0 ? 1 : 0;
    }
  }
  EXPECT_GT(too_small, 20);  // of 80, half of them expected
  EXPECT_LT(too_small, 60);
}

TEST(LikeRecorded, LidarsAreThoseOfRecordedRobots) {
  std::set<int> beams;
  std::set<double> ranges;
  for (std::uint64_t seed = 1; seed <= 60; ++seed) {
    const LidarSpec lidar = like_recorded(home(), seed).robot.lidar;
    beams.insert(lidar.beams);
    ranges.insert(lidar.max_range_m);
    EXPECT_EQ(lidar.field_deg, lidar.beams == 3600 ? 360.0 : 180.0);
    EXPECT_TRUE(lidar.all_at_once);
  }
  EXPECT_EQ(beams, (std::set<int>{181, 361, 3600}));
  EXPECT_EQ(ranges, (std::set<double>{50.0, 80.0}));
  Plan narrow = home();
  narrow.robot.lidar.beams = 240;
  narrow.robot.lidar.field_deg = 240.0;
  narrow.robot.lidar.max_range_m = 6.0;
  const LidarSpec kept = like_recorded(narrow, 1, RecordedLidar::kept).robot.lidar;
  EXPECT_EQ(kept.beams, 240);
  EXPECT_EQ(kept.field_deg, 240.0);
  EXPECT_EQ(kept.max_range_m, 6.0);
}

TEST(LikeRecorded, TheLogIsCoarse) {
  bool five_cm = false;
  for (std::uint64_t seed = 1; seed <= 12; ++seed) {
    const Plan plan = like_recorded(home(), seed);
    const SimulatedDrive drive = simulate(plan, seed);
    EXPECT_TRUE(drive.wheels.empty());
    ASSERT_GT(drive.odometry.size(), 50U);
    const double rate = static_cast<double>(drive.odometry.size()) / drive.truth.trajectory.back().time_s;
    EXPECT_GT(rate, 5.5);
    EXPECT_LT(rate, 20.5);
    ASSERT_GT(drive.scans.size(), 5U);
    EXPECT_LT(static_cast<double>(drive.scans.size()), drive.truth.trajectory.back().time_s / 0.3);
    const double step = plan.defects.range_rounding_m.a;
    EXPECT_TRUE(step == 0.01 || step == 0.05);
    five_cm = five_cm || step == 0.05;
    for (const ScanRow& row : drive.scans) {
      for (const float range : row.range_m) {
        if (std::isnan(range)) continue;
        const double steps = static_cast<double>(range) / step;
        ASSERT_NEAR(steps, std::round(steps), 1e-3);
      }
    }
    const TrueLidar& lidar = drive.truth.lidar;
    EXPECT_LE(std::abs(lidar.x_m - drive.robot.lidar.x_m), 0.09);
    EXPECT_LE(std::abs(lidar.y_m - drive.robot.lidar.y_m), 0.09);
    EXPECT_LE(std::abs(lidar.heading_rad / kDegree_rad - drive.robot.lidar.heading_deg), 1.2);
  }
  EXPECT_TRUE(five_cm);
}

TEST(LikeRecorded, RobotYamlSaysWhatADataSheetSays) {
  const Robot ordinary = stated_robot(home(), draw_wheels(home(), 1), 1);
  double least = 1e9;
  double most = 0.0;
  for (std::uint64_t seed = 1; seed <= 40; ++seed) {
    Plan plan = like_recorded(home(), seed);
    const double range_factor = plan.defects.stated_range_noise_factor.a;
    const double slip_factor = plan.defects.stated_slip_factor.a;
    const Robot stated = stated_robot(plan, draw_wheels(plan, seed), seed);
    EXPECT_NEAR(stated.lidar.noise_m, range_factor * ordinary.lidar.noise_m, 0.06 * stated.lidar.noise_m);
    EXPECT_NEAR(stated.motion_noise.sd_m_per_sqrt_m, slip_factor * ordinary.motion_noise.sd_m_per_sqrt_m,
                0.06 * stated.motion_noise.sd_m_per_sqrt_m);
    least = std::min({least, range_factor, slip_factor});
    most = std::max({most, range_factor, slip_factor});
  }
  EXPECT_GE(least, 0.33);
  EXPECT_LT(least, 0.5);
  EXPECT_LE(most, 3.0);
  EXPECT_GT(most, 2.0);
}

TEST(LikeRecorded, MoversKeepToTheRoute) {
  const Plan plan = home();
  Random random(1, "test");
  for (int i = 0; i < 20; ++i) {
    const Person person = mover(plan, i % 2 == 0, random);
    EXPECT_GE(person.waypoints.size(), 3U);
    EXPECT_EQ(person.cart_m > 0.0, i % 2 == 0);
    for (const Point p : person.waypoints) {
      EXPECT_TRUE(std::any_of(plan.route.begin(), plan.route.end(),
                              [p](const Waypoint& w) { return norm(w.point - p) < 1e-9; }));
    }
  }
}

}  // namespace
}  // namespace wainscot::simulator
