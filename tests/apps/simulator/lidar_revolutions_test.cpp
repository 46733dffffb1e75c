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

TEST(LidarRevolutions, TheGapToTheNextScanIsDrawnForEach) {
  Plan plan = empty_room();
  plan.route = {{{0.8, 0.8}}, {{5.2, 0.8}}, {{5.2, 3.2}}, {{0.8, 3.2}}, {{0.8, 1.0}},
                {{5.0, 1.0}}, {{5.0, 3.0}}, {{1.0, 3.0}}, {{1.0, 1.2}}};
  plan.robot.lidar.scan_every_m = 0.1;  // has nothing to say then
  plan.defects.scan_gap_m = Knob::uniform(0.5, 2.0);
  plan.defects.scan_gap_deg = Knob::uniform(30.0, 80.0);
  double least_m = 1e9;
  double most_m = 0.0;
  double most_deg = 0.0;
  double longest_s = 0.0;
  for (std::uint64_t seed = 1; seed <= 3; ++seed) {
    const Motion motion = drive_route(plan, seed);
    const std::vector<LidarRevolution> all = lidar_revolutions(plan, draw_lidar(plan, 8, seed), motion, seed);
    ASSERT_GT(all.size(), 15U);
    for (std::size_t i = 1; i < all.size(); ++i) {
      double way = 0.0;
      for (double t = all[i - 1].start_s; t < all[i].start_s; t += 0.01) {
        way += norm(motion.at(t + 0.01).position - motion.at(t).position);
      }
      const double turn = std::abs(motion.at(all[i].start_s).heading_rad - motion.at(all[i - 1].start_s).heading_rad);
      EXPECT_TRUE(way > 0.45 || turn > 29.0 * kDegree_rad) << way << ", " << turn;
      if (turn < 29.0 * kDegree_rad) least_m = std::min(least_m, way);
      most_m = std::max(most_m, way);
      most_deg = std::max(most_deg, turn / kDegree_rad);
      longest_s = std::max(longest_s, all[i].start_s - all[i - 1].start_s);
    }
  }
  // A revolution of a seventh of a second later: 0.05 m, 10 degrees.
  EXPECT_LT(least_m, 0.8);
  EXPECT_GT(most_m, 1.4);
  EXPECT_LT(most_m, 2.1);
  EXPECT_GT(most_deg, 50.0);
  EXPECT_LT(most_deg, 92.0);
  EXPECT_GT(longest_s, 2.0);
}

TEST(LidarRevolutions, StampsJitterInBursts) {
  Plan plan = standing();
  plan.defects.stamp_bursts_per_minute = Knob::fixed(6.0);
  plan.defects.stamp_burst_s = Knob::fixed(0.1);
  const Motion motion = drive_route(plan, 1);
  const std::vector<LidarRevolution> all = lidar_revolutions(plan, draw_lidar(plan, 4, 1), motion, 1);
  int late = 0;
  int begun = 0;
  double most_s = 0.0;
  for (std::size_t i = 0; i < all.size(); ++i) {
    EXPECT_GE(all[i].late_s, 0.0);
    most_s = std::max(most_s, all[i].late_s);
    late += all[i].late_s > 0.0 ? 1 : 0;
    begun += i > 0 && all[i].late_s > 0.0 && all[i - 1].late_s == 0.0 ? 1 : 0;
  }
  EXPECT_GT(most_s, 0.07);
  EXPECT_LE(most_s, 0.1);
  EXPECT_GE(begun, 2);
  EXPECT_LE(begun, 15);
  // Each burst is a second long: seven revolutions and a part of one; two may follow on each other.
  EXPECT_NEAR(static_cast<double>(late) / begun, 8.0, 3.0);
}

}  // namespace
}  // namespace wainscot::simulator
