#include "apps/simulator/hard_drives.hpp"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "apps/simulator/motion.hpp"
#include "apps/simulator/plan_yaml.hpp"
#include "apps/simulator/simulate.hpp"

namespace wainscot::simulator {
namespace {

TEST(HardDrives, SlipsHappenAtThresholds) {
  for (std::uint64_t seed = 1; seed <= 3; ++seed) {
    const Plan plan = slip_at_threshold(seed);
    ASSERT_EQ(plan.slips.size(), 2U);
    for (const WheelSlip& slip : plan.slips) {
      const std::vector<Ridge> all = ridges(plan);
      EXPECT_TRUE(std::any_of(all.begin(), all.end(), [&](const Ridge& ridge) {
        return norm(0.5 * (ridge.from + ridge.to) - slip.at) < 0.01;
      }));
      const double most = std::max(std::abs(slip.left_m), std::abs(slip.right_m));
      EXPECT_GE(most, 0.3);
      EXPECT_LE(most, 0.6);
    }
    EXPECT_GE(drive_route(plan, seed).astray().size(), 2U);
  }
}

TEST(HardDrives, TheLiftedRobotComesFarAndTheWheelsDoNotKnow) {
  for (std::uint64_t seed = 1; seed <= 3; ++seed) {
    const Plan plan = lifted_robot(seed);
    const Motion motion = drive_route(plan, seed);
    ASSERT_EQ(motion.carried().size(), 1U);
    const Carried carried = motion.carried()[0];
    EXPECT_GT(norm(motion.at(carried.to_s).position - motion.at(carried.from_s).position), 2.9);
    EXPECT_GT(carried.from_s, 20.0);
    EXPECT_LT(carried.to_s, motion.duration_s() - 20.0);
    const SimulatedDrive drive = simulate(plan, seed);
    for (std::size_t i = 1; i < drive.wheels.size(); ++i) {
      if (drive.wheels[i - 1].time_s < carried.from_s || drive.wheels[i].time_s > carried.to_s) continue;
      ASSERT_EQ(drive.wheels[i].left_ticks, drive.wheels[i - 1].left_ticks);
      ASSERT_EQ(drive.wheels[i].right_ticks, drive.wheels[i - 1].right_ticks);
    }
  }
}

TEST(HardDrives, ANarrowLidarLooksAhead) {
  for (const double field : {180.0, 240.0}) {
    const LidarSpec lidar = narrow_lidar(2, field).robot.lidar;
    const std::vector<double> angles = beam_angles_deg(lidar);
    EXPECT_NEAR(std::abs(angles.back() - angles.front()), field, 1e-9);
    EXPECT_NEAR(angles.back() + angles.front(), 0.0, 1e-9);
    EXPECT_EQ(lidar.heading_deg, 0.0);
  }
  // The same home and robot otherwise.
  EXPECT_EQ(narrow_lidar(2, 180.0).name, narrow_lidar(2, 240.0).name);
}

TEST(HardDrives, OnlyTheNumberOfToursDiffers) {
  Plan once = same_tour(3, 1);
  Plan often = same_tour(3, 4);
  EXPECT_EQ(often.route.size() - 1, 4 * (once.route.size() - 1));
  EXPECT_LT(norm(once.route.front().point - once.route.back().point), 0.2);
  const double one = drive_route(once, 3).duration_s();
  const double four = drive_route(often, 3).duration_s();
  EXPECT_NEAR(four / one, 4.0, 0.4);
  once.route.clear();
  often.route.clear();
  EXPECT_EQ(plan_text(once), plan_text(often));
}

TEST(HardDrives, AnHourIsAnHour) {
  const double duration = drive_route(one_hour(1), 1).duration_s();
  EXPECT_GT(duration, 3400.0);
  EXPECT_LT(duration, 4200.0);
}

TEST(HardDrives, TheLargeBuildingsOdometryEndsFarOffAndScansAreFew) {
  for (std::uint64_t seed = 1; seed <= 3; ++seed) {
    const Plan plan = sparse_large_building(seed);
    Plan blind = plan;
    blind.robot.lidar.beams = 4;  // the scans' ranges are not looked at here
    const SimulatedDrive drive = simulate(blind, seed);
    EXPECT_EQ(drive.robot.lidar.sweep_s, 0.0);
    ASSERT_FALSE(drive.odometry.empty());
    // Odometry's end, seen from its start, against the truth's, which ends where it began.
    const auto from_start = [](const std::vector<TimedPose>& path) {
      const Pose2 a = path.front().pose;
      const Pose2 b = path.back().pose;
      const Point way = {b.x_m - a.x_m, b.y_m - a.y_m};
      const Point axis = direction(a.heading_rad);
      return Point{dot(axis, way), cross(axis, way)};
    };
    EXPECT_GT(norm(from_start(drive.odometry) - from_start(drive.truth.trajectory)), 10.0) << seed;
    double counted = 0.0;
    for (std::size_t i = 1; i < drive.odometry.size(); ++i) {
      counted += nearest_angle(drive.odometry[i].pose.heading_rad - drive.odometry[i - 1].pose.heading_rad);
    }
    const std::vector<TimedPose>& truth = drive.truth.trajectory;
    const double turned = truth.back().pose.heading_rad - truth.front().pose.heading_rad;
    EXPECT_GT(std::abs(counted - turned), 90.0 * kDegree_rad) << seed;
    double way = 0.0;
    for (std::size_t i = 1; i < truth.size(); ++i) {
      way += std::hypot(truth[i].pose.x_m - truth[i - 1].pose.x_m, truth[i].pose.y_m - truth[i - 1].pose.y_m);
    }
    EXPECT_GT(way, 900.0);
    EXPECT_LT(static_cast<double>(drive.scans.size()), way / 0.25);
    EXPECT_GT(static_cast<double>(drive.scans.size()), way / 2.5);
  }
}

}  // namespace
}  // namespace wainscot::simulator
