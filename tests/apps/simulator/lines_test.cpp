#include "apps/simulator/lines.hpp"

#include <cmath>
#include <cstdint>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "apps/simulator/motion.hpp"
#include "apps/simulator/plan_yaml.hpp"
#include "apps/simulator/simulate.hpp"
#include "tests/apps/simulator/small_house.hpp"

namespace wainscot::simulator {
namespace {

Plan lined_room(int count) {
  Plan plan = empty_room();
  plan.lines = lay_out_lines(plan, count);
  return plan;
}

double left_of_line_m(const FloorLine& line, Point place) {
  return cross(unit(line.to - line.from), place - line.from);
}

/// Errors of the robot's place across the line in the middle of each row's time, 2 s on end.
std::vector<double> follower_errors_m(const Plan& plan, const Motion& motion, const FollowedStretch& row) {
  const FloorLine& line = plan.lines[static_cast<std::size_t>(std::stoi(row.line)) - 1];
  std::vector<double> errors;
  for (double t = row.from_s + 2.0; t < row.to_s - 2.0; t += 0.02)
    errors.push_back(left_of_line_m(line, motion.at(t).position));
  return errors;
}

TEST(Lines, LieAlongStraightsOfTheRoute) {
  const std::vector<FloorLine> lines = lay_out_lines(empty_room(), 10);
  ASSERT_EQ(lines.size(), 4u);  // the route has no more
  EXPECT_EQ(lines[0].name, "1");
  EXPECT_NEAR(norm(lines[0].to - lines[0].from), 3.6, 1e-9);
  const Point first = unit(lines[0].to - lines[0].from);
  EXPECT_LT(std::abs(dot(first, unit(lines[1].to - lines[1].from))), 0.9);  // not parallel
  EXPECT_EQ(lay_out_lines(empty_room(), 2).size(), 2u);
}

TEST(Lines, APerfectFollowerStaysOnThem) {
  const Plan plan = lined_room(4);
  const Motion motion = drive_route(plan, 1);
  const std::vector<FollowedStretch> rows = follow_lines(plan, motion, 1);
  ASSERT_EQ(rows.size(), 4u);
  for (const FollowedStretch& row : rows) {
    for (const double error : follower_errors_m(plan, motion, row)) EXPECT_LT(std::abs(error), 5e-4);
  }
}

TEST(Lines, TheFollowersErrorsAreThoseOfThePlan) {
  Plan plan = lined_room(4);
  plan.defects.follower_noise_m = Knob::fixed(0.004);
  plan.defects.follower_correlation_m = Knob::fixed(0.3);
  double sum = 0.0;
  double neighbours = 0.0;
  int count = 0;
  for (std::uint64_t seed = 1; seed <= 12; ++seed) {
    const Motion motion = drive_route(plan, seed);
    for (const FollowedStretch& row : follow_lines(plan, motion, seed)) {
      const std::vector<double> errors = follower_errors_m(plan, motion, row);
      constexpr std::size_t kLag = 8;  // 0.16 s, 5 cm
      for (std::size_t i = kLag; i < errors.size(); ++i) {
        sum += errors[i] * errors[i];
        neighbours += errors[i] * errors[i - kLag];
        ++count;
      }
    }
  }
  const double rms = std::sqrt(sum / count);
  EXPECT_GT(rms, 0.002);
  EXPECT_LT(rms, 0.005);
  EXPECT_GT(neighbours / sum, 0.7);  // they remember themselves
}

TEST(Lines, AnAsideIsOfTheRobotAndABowOfTheLine) {
  Plan plan = lined_room(1);
  plan.defects.follower_aside_m = Knob::fixed(0.01);
  const Motion aside = drive_route(plan, 1);
  const std::vector<FollowedStretch> rows = follow_lines(plan, aside, 1);
  ASSERT_FALSE(rows.empty());
  for (const double error : follower_errors_m(plan, aside, rows[0])) EXPECT_NEAR(error, 0.01, 1e-3);
  plan.defects.follower_aside_m = Knob::fixed(0.0);
  plan.defects.line_bow_m = Knob::fixed(0.01);
  const Motion bowed = drive_route(plan, 1);
  const std::vector<double> errors = follower_errors_m(plan, bowed, follow_lines(plan, bowed, 1)[0]);
  EXPECT_NEAR(errors[errors.size() / 2], 0.01, 1.5e-3);
}

TEST(Lines, MisnamedRowsNameOtherLines) {
  Plan plan = lined_room(4);
  const Motion motion = drive_route(plan, 1);
  const std::vector<FollowedStretch> right = follow_lines(plan, motion, 1);
  plan.defects.line_misnamed_rate = Knob::fixed(1.0);
  const std::vector<FollowedStretch> wrong = follow_lines(plan, motion, 1);
  ASSERT_EQ(right.size(), wrong.size());
  for (std::size_t i = 0; i < right.size(); ++i) {
    EXPECT_NE(right[i].line, wrong[i].line);
    EXPECT_EQ(right[i].from_s, wrong[i].from_s);
  }
}

TEST(Lines, AreMeasuredOnRequestOnlyAndChangeNoOtherDrive) {
  Plan plan = lined_room(3);
  EXPECT_TRUE(simulate(plan, 1).line_map.empty());
  plan.lines_measured = true;
  const SimulatedDrive drive = simulate(plan, 1);
  ASSERT_EQ(drive.line_map.size(), 3u);
  EXPECT_EQ(drive.line_map[1].x2_m, plan.lines[1].to.x_m);
  EXPECT_FALSE(drive.followed.empty());
  EXPECT_TRUE(simulate(empty_room(), 1).followed.empty());
}

TEST(Lines, StandInThePlansFile) {
  Plan plan = lined_room(2);
  plan.lines_measured = true;
  const std::string text = plan_text(plan);
  EXPECT_NE(text.find("lines:\n  - {name: \"1\", from: "), std::string::npos) << text;
  EXPECT_NE(text.find("lines_measured: true\n"), std::string::npos);
  EXPECT_EQ(plan_text(empty_room()).find("lines:"), std::string::npos);
}

}  // namespace
}  // namespace wainscot::simulator
