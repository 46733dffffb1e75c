#include "apps/simulator/people.hpp"

#include <gtest/gtest.h>

#include "small_house.hpp"

namespace wainscot::simulator {
namespace {

TEST(People, WalkToAndFroAtTheirSpeedAndAreThereOnlyInTheirTime) {
  Plan plan = empty_room();
  plan.route = {{{1.0, 3.5}}, {{1.1, 3.5}, 60.0, false}};
  Person person;
  person.waypoints = {{2.0, 0.5}, {5.0, 0.5}};
  person.speed_m_s = 0.6;
  person.start_s = 5.0;
  person.end_s = 40.0;
  person.pause_s = 3.0;
  plan.people = {person};
  const Motion motion = drive_route(plan, 1);
  const People people(plan, motion);
  EXPECT_TRUE(people.legs(4.5).empty());
  EXPECT_TRUE(people.legs(41.0).empty());
  const auto x = [&people](double t) { return 0.5 * (people.legs(t)[0].centre.x_m + people.legs(t)[1].centre.x_m); };
  EXPECT_NEAR(x(7.5), 2.0 + 0.6 * 2.5, 0.05);
  EXPECT_NEAR(x(10.0), 5.0, 0.05);
  EXPECT_NEAR(x(12.5), 5.0, 0.05);  // pauses at the far end, reached at 10 s
  EXPECT_NEAR(x(15.5), 5.0 - 0.6 * 2.5, 0.05);
  for (double t = 5.5; t < 39.5; t += 0.1) {
    EXPECT_NEAR(norm(people.legs(t)[0].centre - people.legs(t)[1].centre), 0.35, 0.25);
  }
}

TEST(People, KeepAwayFromTheRobot) {
  Plan plan = empty_room();
  plan.route = {{{1.0, 2.0}}, {{5.0, 2.0}}, {{1.0, 2.0}}, {{5.0, 2.0}}};
  Person person;
  person.waypoints = {{0.5, 2.0}, {5.5, 2.0}};
  plan.people = {person};
  const Motion motion = drive_route(plan, 1);
  const People people(plan, motion);
  for (double t = 0.0; t < motion.duration_s(); t += 0.05) {
    const auto legs = people.legs(t);
    ASSERT_EQ(legs.size(), 2U);
    EXPECT_GT(norm(0.5 * (legs[0].centre + legs[1].centre) - motion.at(t).position), 0.42);
  }
}

TEST(People, AFollowerStaysBehindOnTheRobotsTrack) {
  Plan plan = empty_room();
  Person person;
  person.follows_m = 1.2;
  person.speed_m_s = 1.0;
  plan.people = {person};
  const Motion motion = drive_route(plan, 1);
  const People people(plan, motion);
  double way = 0.0;
  for (double t = 0.1; t < motion.duration_s(); t += 0.1) {
    way += norm(motion.at(t).position - motion.at(t - 0.1).position);
    const auto legs = people.legs(t);
    ASSERT_EQ(legs.size(), 2U);
    const Point body = 0.5 * (legs[0].centre + legs[1].centre);
    EXPECT_GT(norm(body - motion.at(t).position), 0.42);
    EXPECT_LT(norm(body - motion.at(t).position), 1.4);
    if (way < 3.0) continue;
    // On the track, or pushed aside by a robot that comes back.
    double off = 1e9;
    for (double u = 0.0; u < t; u += 0.02) off = std::min(off, norm(body - motion.at(u).position));
    EXPECT_LT(off, 0.5);
  }
}

TEST(People, ACartIsOneRoundThingThatMoves) {
  Plan plan = empty_room();
  plan.route = {{{1.0, 3.5}}, {{1.1, 3.5}, 20.0, false}};
  Person cart;
  cart.waypoints = {{2.0, 0.5}, {5.0, 0.5}};
  cart.speed_m_s = 0.6;
  cart.cart_m = 0.5;
  plan.people = {cart};
  const Motion motion = drive_route(plan, 1);
  const People people(plan, motion);
  ASSERT_EQ(people.legs(2.5).size(), 1U);
  EXPECT_EQ(people.legs(2.5)[0].radius_m, 0.25);
  EXPECT_NEAR(people.legs(2.5)[0].centre.x_m, 2.0 + 0.6 * 2.5, 0.05);
  // And it comes no nearer to the robot than a person's body does.
  plan.people[0].waypoints = {{0.5, 3.5}, {5.5, 3.5}};
  const People near(plan, motion);
  for (double t = 0.0; t < 20.0; t += 0.1) {
    EXPECT_GT(norm(near.legs(t)[0].centre - motion.at(t).position), 0.45 + 0.25 - 0.05);
  }
}

}  // namespace
}  // namespace wainscot::simulator
