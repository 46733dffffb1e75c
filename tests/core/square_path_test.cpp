#include "core/square_path.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <numbers>
#include <random>
#include <stdexcept>
#include <vector>

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

/// Where a robot ends whose turns fall short by `alpha` and whose sides are arcs of the turn `beta`, in closed form:
/// the sum of four chords in the complex plane. `way` 1: counter-clockwise.
Eigen::Vector2d closed_form(double side_m, double alpha, double beta, int way) {
  const double corner = way * (0.5 * std::numbers::pi - alpha) + beta;
  const double chord_m = side_m * std::sin(0.5 * beta) / (0.5 * beta);
  std::complex<double> end = 0.0;
  for (int k = 0; k < 4; ++k) end += std::polar(chord_m, 0.5 * beta + k * corner);
  return {end.real(), end.imag()};
}

// The formulas of Borenstein & Feng 1996 are of first order. Of four corners each turned wrong by d, what is left out
// of the end is at most L (1 + 4 + 9) / 2 d^2 by Taylor's theorem, and L d^2 more for the arcs' first halves and their
// chords, so that a mean over two ways and two axes, divided by 4 L, is off by at most sqrt(2) 8 / 4 d^2.
TEST(SquarePath, FindsBothAnglesButForTheSecondOrder) {
  for (const double alpha : {-0.01, 1e-4, 0.02}) {
    for (const double beta : {-0.02, 3e-5, 0.01}) {
      const SquarePathResult found =
          square_path({{closed_form(4.0, alpha, beta, -1)}, {closed_form(4.0, alpha, beta, 1)}, 4.0, 0.34});
      const double wrong = std::abs(alpha) + std::abs(beta);
      EXPECT_NEAR(found.alpha_rad, alpha, 2.0 * std::numbers::sqrt2 * wrong * wrong);
      EXPECT_NEAR(found.beta_rad, beta, 2.0 * std::numbers::sqrt2 * wrong * wrong);
    }
  }
}

// Errors so small that their squares (at most 3e-9 in an angle, by the bound above) are nothing beside them.
TEST(SquarePath, FindsSmallErrorsOfASimulatedRobot) {
  std::mt19937_64 random(1);
  const SquarePathResult found = square_path(driven({4.0, 0.34, 1.0 + 2e-6, 1.0 - 1e-5}, 1, random));
  EXPECT_NEAR(found.width_ratio - 1.0, -1e-5, 3e-9);
  EXPECT_NEAR(found.diameter_ratio - 1.0, 2e-6, 3e-9);
  EXPECT_NEAR(found.left_factor - 1.0, -1e-6, 2e-9);
  EXPECT_NEAR(found.right_factor - 1.0, 1e-6, 2e-9);
}

TEST(SquarePath, AWidthAndWheelsWithoutErrorNeedNoCorrection) {
  std::mt19937_64 random(1);
  const SquarePathResult found = square_path(driven({}, 3, random));
  EXPECT_NEAR(found.width_ratio, 1.0, 1e-12);
  EXPECT_NEAR(found.diameter_ratio, 1.0, 1e-12);
  EXPECT_NEAR(found.largest_systematic_m, 0.0, 1e-12);
}

/// Two-sided bounds of the mean of `count` squares of normal errors, as a part of what is expected: a mean of squares
/// scatters at most by sqrt(2 / count) of itself, and 4.4 times that is left by one run in 100,000.
double bound_of_mean_square(int count) { return 4.4 * std::sqrt(2.0 / count); }

// A turn that slips by s moves the end by s times its distance from that corner, across: L, sqrt(2) L, L and 0. Of x
// and y of an end, in units of L^2 s^2, the variances are 2 and 2, the covariance 1 (with the way's sign), so that x
// and y added as alpha and beta add them have 6. Each angle has two ways, n runs and a division by 8 L: variance 2 * 6
// / 64 s^2 / n.
TEST(SquarePath, SlipScattersTheAnglesAsGeometrySays) {
  std::mt19937_64 random(7);
  constexpr int kRobots = 2000;
  constexpr int kRuns = 5;
  SquareRobot robot;
  robot.slip_rad = 0.001;
  double alpha = 0.0;
  double beta = 0.0;
  for (int i = 0; i < kRobots; ++i) {
    const SquarePathResult found = square_path(driven(robot, kRuns, random));
    alpha += found.alpha_rad * found.alpha_rad / kRobots;
    beta += found.beta_rad * found.beta_rad / kRobots;
  }
  const double expected = 12.0 / 64.0 * robot.slip_rad * robot.slip_rad / kRuns;
  EXPECT_NEAR(alpha / expected, 1.0, bound_of_mean_square(kRobots));
  EXPECT_NEAR(beta / expected, 1.0, bound_of_mean_square(kRobots));
}

// What a correction leaves follows from the slip: the new runs' own 4 L^2 s^2 / n, and 3 L^2
// s^2 / n of the correction, whose alpha and beta together have the variance 4 * 6 / 64 s^2 / n and move a centre by 2
// L along both axes.
TEST(SquarePath, ACorrectionLeavesWhatSlipMakes) {
  std::mt19937_64 random(8);
  constexpr int kRobots = 1000;
  constexpr int kRuns = 5;
  std::normal_distribution<double> error(0.0, 1e-4);  // so that what is of second order is 0.03 mm, against 4.7 mm
  double clockwise = 0.0;
  double counter_clockwise = 0.0;
  SquareRobot robot;
  for (int i = 0; i < kRobots; ++i) {
    robot = {4.0, 0.34, 1.0 + error(random), 1.0 + error(random)};
    robot.slip_rad = 0.001;
    const SquarePathResult before = square_path(driven(robot, kRuns, random));
    robot.left_factor = before.left_factor;
    robot.right_factor = before.right_factor;
    robot.width_factor = before.width_ratio;
    const SquarePathResult after = square_path(driven(robot, kRuns, random));
    clockwise += after.clockwise_centre_m.squaredNorm() / kRobots;
    counter_clockwise += after.counter_clockwise_centre_m.squaredNorm() / kRobots;
  }
  const double expected = 7.0 * std::pow(robot.side_m * robot.slip_rad, 2) / kRuns;
  EXPECT_NEAR(clockwise / expected, 1.0, bound_of_mean_square(kRobots));
  EXPECT_NEAR(counter_clockwise / expected, 1.0, bound_of_mean_square(kRobots));
}

// Borenstein & Feng 1996: squares of 4 m, five runs each way, came down from 232 to 423 mm to 12 to 35 mm, 10 to 22
// times. The slip of such a robot is taken from what was left (the middle of it, by the geometry above), not from the
// improvement, so that a correction which left part of the systematic error would fall short.
TEST(SquarePath, ImprovesAsMuchAsWasPublished) {
  std::mt19937_64 random(9);
  constexpr int kRuns = 5;
  std::normal_distribution<double> wheels(0.0, 0.002);
  std::normal_distribution<double> width(0.0, 0.01);
  std::vector<double> improvements;
  while (improvements.size() < 500) {
    SquareRobot robot{4.0, 0.34, 1.0 + wheels(random), 1.0 + width(random)};
    robot.slip_rad = std::sqrt(0.012 * 0.035) / (robot.side_m * std::sqrt(7.0 / kRuns));
    const SquarePathResult before = square_path(driven(robot, kRuns, random));
    if (before.largest_systematic_m < 0.232 || before.largest_systematic_m > 0.423) continue;
    robot.left_factor = before.left_factor;
    robot.right_factor = before.right_factor;
    robot.width_factor = before.width_ratio;
    const SquarePathResult after = square_path(driven(robot, kRuns, random));
    improvements.push_back(before.largest_systematic_m / after.largest_systematic_m);
  }
  std::nth_element(improvements.begin(), improvements.begin() + 250, improvements.end());
  EXPECT_GT(improvements[250], 10.0);
  EXPECT_LT(improvements[250], 22.0);
}

// Large systematic errors and no slip: what one correction leaves is of second order, so that a second one leaves next
// to nothing.
TEST(SquarePath, CorrectionsOfLargeErrorsConverge) {
  std::mt19937_64 random(1);
  SquareRobot robot{4.0, 0.34, 1.002, 1.01};
  std::array<double, 4> left_m{};
  for (double& left : left_m) {
    const SquarePathResult found = square_path(driven(robot, 1, random));
    left = found.largest_systematic_m;
    robot.left_factor *= found.left_factor;
    robot.right_factor *= found.right_factor;
    robot.width_factor *= found.width_ratio;
  }
  EXPECT_GT(left_m[0], 0.23);
  // 2 sqrt(2) d^2 of both angles by the bound above, d = 0.016 + 0.023, moves a centre by 2 L along both axes.
  EXPECT_LT(left_m[1], 2.0 * 4.0 * std::numbers::sqrt2 * 2.0 * 2.0 * std::numbers::sqrt2 * 0.039 * 0.039);
  EXPECT_LT(left_m[2], 0.1 * left_m[1]);
  EXPECT_LT(left_m[3], 1e-5);
}

TEST(SquarePath, RefusesOneDirectionAlone) {
  EXPECT_THROW(square_path({{{0.1, 0.1}}, {}, 4.0, 0.34}), std::invalid_argument);
  EXPECT_THROW(square_path({{{0.1, 0.1}}, {{0.1, 0.1}}, 0.0, 0.34}), std::invalid_argument);
}

}  // namespace
}  // namespace wainscot
