#include "core/square_path.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>
#include <stdexcept>

#include <gtest/gtest.h>

#include "core/pose2.hpp"

namespace wainscot {
namespace {

/// A robot whose odometry has equal wheels and the width `b`, but whose wheels have the ratio `ratio` (right by left,
/// mean kept) and whose width is `width` times as large; `slip` is the standard deviation of each turn, rad.
struct SquareRobot {
  double side_m = 4.0;
  double b = 0.34;
  double ratio = 1.0;
  double width = 1.0;
  double left_factor = 1.0;  ///< corrections in use
  double right_factor = 1.0;
  double width_factor = 1.0;
  double slip_rad = 0.0;

  /// Where it really ends after it has driven what its odometry takes for a square; `way` 1: counter-clockwise.
  Eigen::Vector2d end(int way, std::mt19937_64& random) const {
    const double left = 2.0 / (ratio + 1.0) / left_factor;  // true way of the wheel / way by odometry
    const double right = 2.0 / (1.0 / ratio + 1.0) / right_factor;
    const double believed = b * width_factor;
    std::normal_distribution<double> slip(0.0, 1.0);
    Pose2 pose;
    for (int i = 0; i < 4; ++i) {
      pose = pose * exp({0.5 * (left + right) * side_m, 0.0, (right - left) * side_m / (b * width)});
      const double wheel = way * 0.25 * std::numbers::pi * believed;  // each wheel's way in a quarter turn
      const double extra = slip_rad > 0.0 ? slip_rad * slip(random) : 0.0;
      pose = pose * exp({0.5 * (right - left) * wheel, 0.0, (right + left) * wheel / (b * width) + extra});
    }
    return pose.translation();
  }
};

SquareRuns driven(const SquareRobot& robot, int runs, std::mt19937_64& random) {
  SquareRuns result{{}, {}, robot.side_m, robot.b * robot.width_factor};
  for (int i = 0; i < runs; ++i) {
    result.clockwise.push_back(robot.end(-1, random));
    result.counter_clockwise.push_back(robot.end(1, random));
  }
  return result;
}

TEST(SquarePath, FindsTheErrorsOfASimulatedRobot) {
  std::mt19937_64 random(1);
  const SquarePathResult found = square_path(driven({4.0, 0.34, 1.002, 1.01}, 1, random));
  // The formulas are of first order: 3 % of the errors themselves are left.
  EXPECT_NEAR(found.width_ratio, 1.01, 0.0004);
  EXPECT_NEAR(found.diameter_ratio, 1.002, 0.00006);
  EXPECT_NEAR(found.left_factor + found.right_factor, 2.0, 1e-12);
  EXPECT_NEAR(found.right_factor / found.left_factor, found.diameter_ratio, 1e-12);
}

TEST(SquarePath, TheSimulationEndsWhereAnotherOneDid) {
  // The same robot simulated elsewhere (own computation, so that this test is not the only one to hang on it).
  std::mt19937_64 random(1);
  const SquarePathResult found = square_path(driven({4.0, 0.34, 1.002, 1.01}, 1, random));
  EXPECT_NEAR(found.clockwise_centre_m.x(), -0.2936, 6e-5);
  EXPECT_NEAR(found.clockwise_centre_m.y(), -0.3378, 6e-5);
  EXPECT_NEAR(found.counter_clockwise_centre_m.x(), 0.0629, 6e-5);
  EXPECT_NEAR(found.counter_clockwise_centre_m.y(), -0.0601, 6e-5);
  EXPECT_NEAR(found.alpha_rad * 180.0 / std::numbers::pi, 0.9103, 6e-5);
  EXPECT_NEAR(found.beta_rad * 180.0 / std::numbers::pi, 1.3508, 6e-5);
  EXPECT_NEAR(found.diameter_ratio, 1.002006, 6e-7);
  EXPECT_NEAR(found.width_ratio, 1.010217, 6e-7);
}

TEST(SquarePath, AWidthAndWheelsWithoutErrorNeedNoCorrection) {
  std::mt19937_64 random(1);
  const SquarePathResult found = square_path(driven({}, 3, random));
  EXPECT_NEAR(found.width_ratio, 1.0, 1e-12);
  EXPECT_NEAR(found.diameter_ratio, 1.0, 1e-12);
  EXPECT_NEAR(found.largest_systematic_m, 0.0, 1e-12);
}

TEST(SquarePath, FiveRunsEachWayImproveTenfold) {
  // Borenstein & Feng 1996 report 10- to 22-fold, 232 to 423 mm before and 12 to 35 mm after. Their robot: 4 m, 0.34 m.
  std::mt19937_64 random(7);
  std::normal_distribution<double> width_error(0.0, 0.01);
  std::normal_distribution<double> wheel_error(0.0, 0.002);
  std::vector<double> improvements;
  for (int i = 0; i < 60; ++i) {
    SquareRobot robot{4.0, 0.34, 1.0 + wheel_error(random), 1.0 + width_error(random)};
    robot.slip_rad = 0.001;
    const SquarePathResult before = square_path(driven(robot, 5, random));
    if (before.largest_systematic_m < 0.232) continue;
    robot.left_factor = before.left_factor;
    robot.right_factor = before.right_factor;
    robot.width_factor = before.width_ratio;
    const SquarePathResult after = square_path(driven(robot, 5, random));
    improvements.push_back(before.largest_systematic_m / after.largest_systematic_m);
  }
  ASSERT_GT(improvements.size(), 15U);
  std::sort(improvements.begin(), improvements.end());
  EXPECT_GT(improvements[improvements.size() / 2], 10.0);
}

TEST(SquarePath, RefusesOneDirectionAlone) {
  EXPECT_THROW(square_path({{{0.1, 0.1}}, {}, 4.0, 0.34}), std::invalid_argument);
  EXPECT_THROW(square_path({{{0.1, 0.1}}, {{0.1, 0.1}}, 0.0, 0.34}), std::invalid_argument);
}

}  // namespace
}  // namespace wainscot
