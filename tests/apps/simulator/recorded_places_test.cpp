#include "apps/simulator/recorded_places.hpp"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "apps/simulator/ray_caster.hpp"
#include "apps/simulator/simulate.hpp"
#include "apps/simulator/surfaces.hpp"

namespace wainscot::simulator {
namespace {

double way_m(const Plan& plan) {
  double sum = 0.0;
  for (std::size_t i = 1; i < plan.route.size(); ++i) sum += norm(plan.route[i].point - plan.route[i - 1].point);
  return sum;
}

SimulatedDrive without_beams(Plan plan, std::uint64_t seed) {
  plan.robot.lidar.beams = 4;  // nobody looks at the ranges
  return simulate(plan, seed);
}

TEST(RecordedPlaces, AreAsLargeAsTheirNamesSay) {
  const RayCaster hall(surfaces_of(hall_40m(1)));
  EXPECT_NEAR(hall.cast({1.0, 0.7}, {1.0, 0.0}, 60.0, false).range_m, 39.0, 1e-9);
  EXPECT_GE(hall_40m(1).people.size(), 3U);
  const Plan corridor = corridor_100m(1);
  EXPECT_GT(corridor.route.size(), 10U);
  double west = 1e9;
  double east = -1e9;
  for (const Wall& wall : corridor.walls) {
    west = std::min(west, wall.from.x_m);
    east = std::max(east, wall.to.x_m);
  }
  EXPECT_NEAR(east - west, 100.0, 1e-9);
  for (std::uint64_t seed = 1; seed <= 2; ++seed) {
    EXPECT_GT(way_m(building_2km(seed)), 1950.0);
    EXPECT_LT(way_m(building_2km(seed)), 2100.0);
  }
}

TEST(RecordedPlaces, TheWayBackSeesWhatLayBehind) {
  const Plan plan = half_lidar_both_ways(1);
  EXPECT_EQ(plan.robot.lidar.field_deg, 180.0);
  EXPECT_EQ(plan.robot.lidar.heading_deg, 0.0);
  EXPECT_EQ(plan.robot.lidar.blind_from_deg, plan.robot.lidar.blind_to_deg);
  // Both ways through the middle, twice.
  const Motion motion = drive_route(plan, 1);
  double middle = 0.0;
  for (const Waypoint& w : plan.route) middle = std::max(middle, w.point.x_m / 2.0);
  int east = 0;
  int west = 0;
  for (std::size_t i = 1; i < motion.states().size(); ++i) {
    const double before = motion.states()[i - 1].position.x_m;
    const double now = motion.states()[i].position.x_m;
    if (before < middle && now >= middle) ++east;
    if (before >= middle && now < middle) ++west;
  }
  EXPECT_GE(east, 2);
  EXPECT_GE(west, 2);
}

TEST(RecordedPlaces, OdometryIsHeldBackInSeconds) {
  const SimulatedDrive drive = without_beams(buffered_odometry(2), 2);
  std::vector<double> times;
  for (const WheelCounts& row : drive.wheels) times.push_back(row.time_s);
  for (const TimedPose& row : drive.odometry) times.push_back(row.time_s);
  double longest = 0.0;
  for (std::size_t i = 1; i < times.size(); ++i) longest = std::max(longest, times[i] - times[i - 1]);
  EXPECT_GT(longest, 1.9);
  EXPECT_LT(longest, 4.2);
}

TEST(RecordedPlaces, NoiseIsMisstatedByThree) {
  for (std::uint64_t seed = 1; seed <= 4; ++seed) {
    Plan plan = misstated_noise(seed);
    const Robot misstated = without_beams(plan, seed).robot;
    plan.defects.stated_range_noise_factor = plan.defects.stated_slip_factor = Knob::fixed(1.0);
    const Robot right = without_beams(plan, seed).robot;
    EXPECT_NEAR(std::abs(std::log(misstated.lidar.noise_m / right.lidar.noise_m)), std::log(3.0), 0.06);
    EXPECT_NEAR(std::abs(std::log(misstated.motion_noise.sd_rad_per_sqrt_rad / right.motion_noise.sd_rad_per_sqrt_rad)),
                std::log(3.0), 0.06);
  }
}

TEST(RecordedPlaces, CountersSayNoughtWithoutOdometry) {
  const SimulatedDrive drive = without_beams(no_odometry(1), 1);
  ASSERT_FALSE(drive.wheels.empty());
  for (const WheelCounts& row : drive.wheels) ASSERT_EQ(row.left_ticks | row.right_ticks, 0);
  EXPECT_TRUE(drive.gyro.empty());
}

TEST(RecordedPlaces, SinglePropertiesAreTheOnlyOnes) {
  const Plan steps = steps_of_5cm(1);
  EXPECT_TRUE(steps.defects.range_rounding_m.is(0.05));
  EXPECT_EQ(steps.not_told, std::vector<std::string>{"range_rounding_m"});
  const Plan laws = other_laws(1);
  EXPECT_TRUE(laws.defects.slip_steady_rel.is(0.0));
  EXPECT_FALSE(laws.defects.slip_turn_squared_rel.is(0.0));
  const Plan moving = people_and_carts(1);
  ASSERT_EQ(moving.people.size(), 4U);
  EXPECT_EQ(std::count_if(moving.people.begin(), moving.people.end(), [](const Person& p) { return p.cart_m > 0.0; }),
            2);
  const Plan flat = like_recorded_flat(1);
  EXPECT_EQ(flat.robot.motion_log, MotionLog::odometry);
  EXPECT_FALSE(flat.not_told.empty());
}

}  // namespace
}  // namespace wainscot::simulator
