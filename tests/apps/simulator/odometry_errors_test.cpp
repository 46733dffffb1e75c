#include "apps/simulator/odometry_errors.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include <gtest/gtest.h>

#include "apps/simulator/motion.hpp"
#include "apps/simulator/simulate.hpp"
#include "small_house.hpp"

namespace wainscot::simulator {
namespace {

/// What is counted too much over each second of a straight way at 1 m/s, so over each stretch.
struct Surplus {
  std::vector<double> way_m;
  std::vector<double> turn_rad;
};

Surplus surplus(const Defects& defects, int seconds, std::uint64_t seed = 1) {
  OdometryErrors errors(defects, seed);
  Surplus all;
  for (int i = 0; i < seconds; ++i) {
    double way = -1.0;
    double turn = 0.0;
    for (int k = 0; k < 500; ++k) {
      const CountedMotion counted = errors.next(1.0, 0.0, 0.002);
      way += 0.002 * counted.speed_m_s;
      turn += 0.002 * counted.turn_rate_rad_s;
    }
    all.way_m.push_back(way);
    all.turn_rad.push_back(turn);
  }
  return all;
}

double share_within(const std::vector<double>& values, double bound) {
  const auto within = std::count_if(values.begin(), values.end(), [&](double v) { return std::abs(v) < bound; });
  return static_cast<double>(within) / static_cast<double>(values.size());
}

TEST(OdometryErrors, NoneWhereAllKnobsAreOff) {
  OdometryErrors errors(perfect(Defects()), 1);
  const CountedMotion counted = errors.next(0.3, -0.7, 0.002);
  EXPECT_EQ(counted.speed_m_s, 0.3);
  EXPECT_EQ(counted.turn_rate_rad_s, -0.7);
}

TEST(OdometryErrors, HaveTheTailsThatTheirKnobSays) {
  Defects defects = perfect(Defects());
  defects.odometry_way_error_rel = Knob::fixed(0.04);
  defects.odometry_turn_error_deg = Knob::fixed(0.5);
  defects.odometry_tail_freedom = Knob::fixed(2.0);
  const Surplus tailed = surplus(defects, 4000);
  // Student's t with 2 degrees of freedom: two-sided 95 % at 4.30 (JCGM 100:2008, table G.2), of a normal law 1.96.
  EXPECT_NEAR(share_within(tailed.way_m, 4.30 * 0.04), 0.95, 0.015);
  EXPECT_NEAR(share_within(tailed.turn_rad, 4.30 * 0.5 * kDegree_rad), 0.95, 0.015);
  defects.odometry_tail_freedom = Knob::fixed(0.0);
  const Surplus normal = surplus(defects, 4000);
  EXPECT_NEAR(share_within(normal.way_m, 1.96 * 0.04), 0.95, 0.015);
  EXPECT_GT(share_within(normal.way_m, 4.30 * 0.04), 0.999);
}

TEST(OdometryErrors, APartOfTheWayIsLost) {
  Defects defects = perfect(Defects());
  defects.odometry_way_lost_rel = Knob::fixed(0.08);
  for (const double way : surplus(defects, 3).way_m) EXPECT_NEAR(way, -0.08, 1e-9);
}

TEST(OdometryErrors, SlipGrowsWithTheSquaresOfTheSpeeds) {
  Defects defects = perfect(Defects());
  defects.slip_speed_squared_rel = Knob::fixed(0.1);
  defects.slip_turn_squared_rel = Knob::fixed(-0.05);
  OdometryErrors errors(defects, 1);
  EXPECT_NEAR(errors.next(1.0, 0.0, 0.002).speed_m_s, 1.1, 1e-12);
  EXPECT_NEAR(errors.next(0.5, 0.0, 0.002).speed_m_s / 0.5, 1.0 + 0.1 / 4.0, 1e-12);
  EXPECT_NEAR(errors.next(0.0, 1.0, 0.002).turn_rate_rad_s, 0.95, 1e-12);
  EXPECT_NEAR(errors.next(0.0, -2.0, 0.002).turn_rate_rad_s / -2.0, 1.0 - 0.05 * 4.0, 1e-12);
}

TEST(OdometryErrors, SlipsAreAsOftenAndAsFarAsTheirKnobsSay) {
  Defects defects = perfect(Defects());
  defects.odometry_slips_per_100m = Knob::fixed(2.0);
  defects.odometry_slip_m = Knob::uniform(-0.7, 0.7);
  defects.odometry_slip_deg = Knob::uniform(-70.0, 70.0);
  const Surplus all = surplus(defects, 5000);
  double way = 0.0;
  double turn = 0.0;
  for (std::size_t i = 0; i + 1 < all.way_m.size(); ++i) {
    // A slip takes a second, so two neighbours hold it.
    way = std::max(way, std::abs(all.way_m[i] + all.way_m[i + 1]));
    turn = std::max(turn, std::abs(all.turn_rad[i] + all.turn_rad[i + 1]));
  }
  EXPECT_GT(way, 0.6);
  EXPECT_LT(way, 1.4);
  EXPECT_GT(turn, 60.0 * kDegree_rad);
  EXPECT_LT(turn, 140.0 * kDegree_rad);
  // 100 slips in 5 km, each felt in two of the seconds; Poisson.
  EXPECT_NEAR(1.0 - share_within(all.way_m, 1e-9), 2.0 * 0.02, 4.0 * 2.0 * std::sqrt(100.0) / 5000.0);
}

TEST(OdometryErrors, TheSameSeedGivesTheSameOnes) {
  Defects defects = perfect(Defects());
  defects.odometry_way_error_rel = Knob::fixed(0.04);
  defects.odometry_slips_per_100m = Knob::fixed(2.0);
  defects.odometry_slip_m = Knob::uniform(-0.7, 0.7);
  EXPECT_EQ(surplus(defects, 200, 3).way_m, surplus(defects, 200, 3).way_m);
  EXPECT_NE(surplus(defects, 200, 3).way_m, surplus(defects, 200, 4).way_m);
}

TEST(OdometryErrors, AreInTheWheelsAndInWhatIsIntegratedFromThem) {
  Plan plan = empty_room();
  plan.robot.motion_log = MotionLog::odometry;
  plan.robot.left_m_per_tick = plan.robot.right_m_per_tick = 1e-5;
  plan.defects.odometry_way_lost_rel = Knob::fixed(0.08);
  const auto way = [](const std::vector<TimedPose>& poses) {
    double sum = 0.0;
    for (std::size_t i = 1; i < poses.size(); ++i) {
      sum += std::hypot(poses[i].pose.x_m - poses[i - 1].pose.x_m, poses[i].pose.y_m - poses[i - 1].pose.y_m);
    }
    return sum;
  };
  const SimulatedDrive drive = simulate(plan, 1);
  EXPECT_NEAR(way(drive.odometry) / way(drive.truth.trajectory), 0.92, 0.002);
}

}  // namespace
}  // namespace wainscot::simulator
