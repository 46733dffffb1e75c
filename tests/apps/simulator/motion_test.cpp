#include "apps/simulator/motion.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "apps/simulator/random_house.hpp"
#include "apps/simulator/surfaces.hpp"
#include "core/errors.hpp"
#include "small_house.hpp"

namespace wainscot::simulator {
namespace {

TEST(Motion, NeverSlidesSidewaysAndKeepsItsLimits) {
  const Plan plan = two_rooms();
  const Motion motion = drive_route(plan, 3);
  const auto& states = motion.states();
  for (std::size_t i = 1; i < states.size(); ++i) {
    const Point moved = states[i].position - states[i - 1].position;
    const double heading = 0.5 * (states[i].heading_rad + states[i - 1].heading_rad);
    EXPECT_NEAR(cross(direction(heading), moved), 0.0, 1e-9);
    EXPECT_LE(std::abs(states[i].speed_m_s - states[i - 1].speed_m_s),
              plan.robot.acceleration_m_s2 * kMotionStep_s + 1e-12);
    EXPECT_LE(std::abs(states[i].turn_rate_rad_s), plan.robot.turn_rate_rad_s + 1e-9);
    EXPECT_LE(states[i].speed_m_s, 1.4 * plan.robot.speed_m_s);
  }
}

TEST(Motion, PassesEveryWaypointAndStopsWhereItShould) {
  const Plan plan = two_rooms();
  const Motion motion = drive_route(plan, 4);
  for (const Waypoint& w : plan.route) {
    double nearest = 1e9;
    double stood = 0.0;
    for (const MotionState& s : motion.states()) {
      nearest = std::min(nearest, norm(s.position - w.point));
      if (norm(s.position - w.point) < 0.1 && s.speed_m_s < 1e-6) stood += kMotionStep_s;
    }
    EXPECT_LT(nearest, 0.06);
    EXPECT_GE(stood, w.stop_s);
  }
  EXPECT_LT(norm(motion.states().back().position - plan.route.back().point), 0.06);
}

TEST(Motion, TheHandWobblesAndPausesAsItsKnobsSay) {
  Plan plan = empty_room();
  plan.route = {{{0.5, 2.0}}, {{5.5, 2.0}}};
  plan.robot.speed_m_s = 0.1;
  const auto deviation = [](const Motion& motion) {
    double most = 0.0;
    for (const MotionState& s : motion.states()) most = std::max(most, std::abs(s.position.y_m - 2.0));
    return most;
  };
  plan.defects.hand_wobble_rad_s = Knob::fixed(0.0);
  plan.defects.hand_pauses_per_minute = Knob::fixed(0.0);
  const Motion steady = drive_route(plan, 1);
  EXPECT_LT(deviation(steady), 1e-9);
  plan.defects.hand_wobble_rad_s = Knob::fixed(0.12);
  EXPECT_GT(deviation(drive_route(plan, 1)), 0.002);
  EXPECT_LT(deviation(drive_route(plan, 1)), 0.08);

  // 4 a minute over about 50 s, 1 to 4 s long each: on average 8 s more, over 20 seeds.
  plan.defects.hand_pauses_per_minute = Knob::fixed(4.0);
  double longer = 0.0;
  for (std::uint64_t seed = 0; seed < 20; ++seed) {
    longer += (drive_route(plan, seed).duration_s() - steady.duration_s()) / 20.0;
  }
  EXPECT_GT(longer, 4.0);
  EXPECT_LT(longer, 16.0);
}

class MotionInRandomHouses : public testing::TestWithParam<std::uint64_t> {};

TEST_P(MotionInRandomHouses, KeepsClearOfEverything) {
  for (std::uint64_t number = GetParam(); number < GetParam() + 5; ++number) {
    const Plan plan = random_house(number);
    const Surfaces surfaces = surfaces_of(plan);
    const Motion motion = drive_route(plan, number + 1000);
    double least = 1e9;
    for (double t = 0.0; t < motion.duration_s(); t += 0.2) {
      least = std::min(least, clearance_m(surfaces, motion.at(t).position));
    }
    EXPECT_GT(least, plan.robot.radius_m) << "house " << number;
    EXPECT_GT(motion.duration_s(), 180.0) << "house " << number;
    EXPECT_LT(motion.duration_s(), 480.0) << "house " << number;
    EXPECT_LT(norm(motion.states().back().position - motion.states().front().position), 0.3) << "house " << number;
  }
}

INSTANTIATE_TEST_SUITE_P(Fifty, MotionInRandomHouses, testing::Range<std::uint64_t>(1, 51, 5));

TEST(Motion, RefusesARouteWithoutAWay) {
  Plan plan = empty_room();
  plan.route = {{{1.0, 1.0}}, {{1.0, 1.001}}};
  EXPECT_THROW(drive_route(plan, 1), InputError);
}

TEST(Motion, ALiftBringsTheRobotThereAndTheRouteGoesOn) {
  Plan plan = empty_room();
  plan.route[1].lift = Lift{{{4.0, 2.0}, {2.0, 2.5}}, 120.0};
  const Motion motion = drive_route(plan, 1);
  ASSERT_EQ(motion.carried().size(), 1U);
  const Carried carried = motion.carried()[0];
  EXPECT_LT(norm(motion.at(carried.from_s).position - plan.route[1].point), 0.06);
  EXPECT_LT(norm(motion.at(carried.to_s).position - Point{2.0, 2.5}), 1e-9);
  EXPECT_NEAR(nearest_angle(motion.at(carried.to_s).heading_rad - 120.0 * kDegree_rad), 0.0, 1e-9);
  EXPECT_FALSE(motion.is_carried(carried.from_s - 0.01));
  EXPECT_TRUE(motion.is_carried(0.5 * (carried.from_s + carried.to_s)));
  EXPECT_LT(norm(motion.states().back().position - plan.route.back().point), 0.06);
  for (const MotionState& s : motion.states()) {
    EXPECT_LT(s.speed_m_s, 1.4 * plan.robot.speed_m_s);
  }
}

TEST(Motion, SpinningWheelsHoldTheRobotAndASlideDoesNot) {
  Plan plan = empty_room();
  plan.slips = {{{3.0, 1.0}, 0.12, 1, 0.5, 0.4}, {{5.0, 2.0}, 0.12, 1, -0.5, -0.5}};
  const Motion motion = drive_route(plan, 1);
  ASSERT_EQ(motion.astray().size(), 2U);
  const WheelsAstray spin = motion.astray()[0];
  const double duration = spin.to_s - spin.from_s;
  EXPECT_LT(norm(motion.at(spin.to_s).position - motion.at(spin.from_s).position), 0.002);
  EXPECT_NEAR(spin.left_spin_m_s * duration, 0.5, 1e-9);
  EXPECT_NEAR(spin.right_spin_m_s * duration, 0.4, 1e-9);
  const WheelsAstray slide = motion.astray()[1];
  EXPECT_NEAR(norm(motion.at(slide.to_s).position - motion.at(slide.from_s).position), 0.5, 0.02);
  EXPECT_EQ(slide.left_held, 1.0);
}

TEST(Motion, ASlipWaitsForItsCrossing) {
  Plan plan = empty_room();
  plan.route = {{{1.0, 2.0}}, {{5.0, 2.0}}, {{1.0, 2.0}}, {{5.0, 2.0}}};
  plan.slips = {{{3.0, 2.0}, 0.2, 2, 0.3, 0.3}};
  const Motion motion = drive_route(plan, 1);
  ASSERT_EQ(motion.astray().size(), 1U);
  // The second time it comes the other way.
  EXPECT_LT(std::cos(motion.at(motion.astray()[0].from_s).heading_rad), -0.9);
}

}  // namespace
}  // namespace wainscot::simulator
