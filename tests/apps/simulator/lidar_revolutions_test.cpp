#include "apps/simulator/lidar_revolutions.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <vector>

#include <gtest/gtest.h>

#include "standing_lidar.hpp"

namespace wainscot::simulator {
namespace {

TEST(LidarRevolutions, TheMotorTurnsAsItsKnobsSay) {
  Plan plan = standing();
  const auto intervals = [](const Plan& p) {
    const SimulatedDrive drive = simulate(p, 1);
    std::vector<double> all;
    for (std::size_t i = 1; i < drive.scans.size(); ++i)
      all.push_back(drive.scans[i].time_s - drive.scans[i - 1].time_s);
    return statistics(all);
  };
  EXPECT_NEAR(intervals(plan).mean, 1.0 / 7.0, 1e-9);
  plan.defects.motor_speed_error_rel = Knob::fixed(0.05);
  EXPECT_NEAR(intervals(plan).mean, 1.0 / 7.0 / 1.05, 1e-9);
  EXPECT_LT(intervals(plan).sd, 1e-9);
  plan.defects.motor_speed_wander_rel = Knob::fixed(0.01);
  EXPECT_NEAR(intervals(plan).sd, 0.01 / 7.0 / 1.05, 0.0002);
}

TEST(LidarRevolutions, StampsAreLateAndDriftAsTheirKnobsSay) {
  const auto late = [](const std::function<void(Defects&)>& turn_knob) {
    Plan plan = standing();
    const SimulatedDrive base = simulate(plan, 1);
    turn_knob(plan.defects);
    const SimulatedDrive drive = simulate(plan, 1);
    std::vector<double> all;
    for (std::size_t i = 0; i < base.scans.size(); ++i) all.push_back(drive.scans[i].time_s - base.scans[i].time_s);
    return all;
  };
  for (const double l : late([](Defects& d) { d.stamp_delay_s = Knob::fixed(0.02); })) EXPECT_NEAR(l, 0.02, 1e-12);
  const std::vector<double> jitter = late([](Defects& d) { d.stamp_jitter_s = Knob::fixed(0.002); });
  EXPECT_NEAR(*std::min_element(jitter.begin(), jitter.end()), -0.001, 0.0001);
  EXPECT_NEAR(*std::max_element(jitter.begin(), jitter.end()), 0.001, 0.0001);
  const std::vector<double> drift = late([](Defects& d) { d.clock_drift_ppm = Knob::fixed(50.0); });
  EXPECT_NEAR(drift.back() - drift.front(), 50e-6 * static_cast<double>(drift.size() - 1) / 7.0, 1e-9);
}

TEST(LidarRevolutions, ScansAreThinnedByWayAndByTurn) {
  Plan plan = empty_room();
  plan.robot.lidar.scan_every_m = 0.8;
  plan.robot.lidar.scan_every_deg = 40.0;
  const SimulatedDrive drive = simulate(plan, 1);
  const SimulatedDrive all = [&] {
    plan.robot.lidar.scan_every_m = plan.robot.lidar.scan_every_deg = 0.0;
    return simulate(plan, 1);
  }();
  ASSERT_GT(drive.scans.size(), 8U);
  ASSERT_LT(drive.scans.size(), all.scans.size() / 4);
  const auto at = [&](double time_s) {
    return drive.truth.trajectory[static_cast<std::size_t>(time_s * plan.robot.truth_rate_hz)].pose;
  };
  for (std::size_t i = 1; i < drive.scans.size(); ++i) {
    double way = 0.0;
    for (double t = drive.scans[i - 1].time_s; t < drive.scans[i].time_s; t += 0.02) {
      way += std::hypot(at(t + 0.02).x_m - at(t).x_m, at(t + 0.02).y_m - at(t).y_m);
    }
    const double turn = std::abs(at(drive.scans[i].time_s).heading_rad - at(drive.scans[i - 1].time_s).heading_rad);
    EXPECT_TRUE(way > 0.75 || turn > 37.0 * kDegree_rad) << way << ", " << turn;
    EXPECT_LT(way, 0.95);  // at most a revolution later
    EXPECT_LT(turn, 55.0 * kDegree_rad);
  }
}

TEST(LidarRevolutions, FollowOneAnotherWithoutAGap) {
  Plan plan = standing();
  plan.defects.motor_speed_wander_rel = Knob::fixed(0.01);
  plan.defects.lost_revolution_rate = Knob::fixed(0.1);
  const Motion motion = drive_route(plan, 1);
  const TrueLidar lidar = draw_lidar(plan, 1, 1);
  const std::vector<LidarRevolution> all = lidar_revolutions(plan, lidar, motion, 1);
  ASSERT_GT(all.size(), 300U);
  for (std::size_t i = 1; i < all.size(); ++i) {
    EXPECT_NEAR(all[i].start_s, all[i - 1].start_s + all[i - 1].turn_s, 1e-12);
  }
  EXPECT_LE(all.back().start_s + all.back().turn_s, motion.duration_s());
  const auto lost = std::count_if(all.begin(), all.end(), [](const LidarRevolution& r) { return r.lost; });
  EXPECT_NEAR(static_cast<double>(lost) / static_cast<double>(all.size()), 0.1, 0.06);
}

}  // namespace
}  // namespace wainscot::simulator
