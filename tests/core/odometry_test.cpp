#include "core/odometry.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <Eigen/Dense>

namespace wainscot {
namespace {

/// A robot of 1 mm a tick and 0.4 m between the wheels.
Drive drive_of(const std::vector<WheelCounts>& wheels) {
  Drive drive;
  drive.robot.drive = DriveConstants{};
  drive.robot.drive->left_m_per_tick = 0.001;
  drive.robot.drive->right_m_per_tick = 0.001;
  drive.robot.drive->track_width_m = 0.4;
  drive.wheels = wheels;
  return drive;
}

OdometryPath path_of(const Drive& drive, const OdometryCorrection& correction = {}) {
  return {odometry_steps(drive), correction};
}

/// As of counters that leave nothing open: the noise of the way alone.
std::vector<OdometryStep> exactly_counted(std::vector<OdometryStep> steps) {
  for (OdometryStep& step : steps) step.count_variance_m2 = step.count_turn_variance_rad2 = 0.0;
  return steps;
}

void expect_pose(const Pose2& pose, double x_m, double y_m, double heading_rad, double tolerance) {
  EXPECT_NEAR(pose.x_m, x_m, tolerance);
  EXPECT_NEAR(pose.y_m, y_m, tolerance);
  EXPECT_NEAR(pose.heading_rad, heading_rad, tolerance);
}

TEST(Odometry, EqualCountsAreAStraightLine) {
  const OdometryPath path = path_of(drive_of({{5.0, 100, -50}, {6.0, 1100, 950}, {7.0, 2100, 1950}}));
  EXPECT_EQ(path.begin_s(), 5.0);
  EXPECT_EQ(path.end_s(), 7.0);
  expect_pose(path.pose_at(7.0), 2.0, 0.0, 0.0, 1e-12);
  expect_pose(path.pose_at(5.25), 0.25, 0.0, 0.0, 1e-12);
}

// Radius of the path of the middle: R = b / 2 * (right + left) / (right - left); exact for one step, however long.
TEST(Odometry, OneStepIsAnExactArc) {
  const Drive drive = drive_of({{0.0, 0, 0}, {1.0, 600, 1000}});
  const double turn = 0.4 / 0.4;
  const double radius = 0.8 / turn;
  const OdometryPath path = path_of(drive);
  expect_pose(path.pose_at(1.0), radius * std::sin(turn), radius * (1.0 - std::cos(turn)), turn, 1e-12);
  expect_pose(path.pose_at(0.3), radius * std::sin(0.3), radius * (1.0 - std::cos(0.3)), 0.3, 1e-12);
}

// Turned left by 90, 135 and 135 degrees between sides of 1 m, 1 m and sqrt(2) m, a robot is back where it began (ISO
// 8855 axes: counter-clockwise positive).
TEST(Odometry, APolygonCloses) {
  std::vector<WheelCounts> wheels{{0.0, 0, 0}};
  Drive drive = drive_of(wheels);
  // Ticks of a micrometre, so that rounding to whole ticks stays below the tolerance.
  drive.robot.drive->left_m_per_tick = drive.robot.drive->right_m_per_tick = 1e-6;
  const auto go = [&](double way_m, double turn_rad) {
    WheelCounts next = drive.wheels.back();
    next.time_s += 1.0;
    next.left_ticks += std::llround((way_m - 0.2 * turn_rad) * 1e6);
    next.right_ticks += std::llround((way_m + 0.2 * turn_rad) * 1e6);
    drive.wheels.push_back(next);
  };
  go(1.0, 0.0);
  go(0.0, 0.5 * std::numbers::pi);
  go(1.0, 0.0);
  go(0.0, 0.75 * std::numbers::pi);
  EXPECT_NEAR(path_of(drive).pose_at(4.0).heading_rad, 3.9270, 1e-4);
  go(std::numbers::sqrt2, 0.0);
  expect_pose(path_of(drive).pose_at(5.0), 0.0, 0.0, 1.25 * std::numbers::pi, 1e-5);
  go(0.0, 0.75 * std::numbers::pi);
  expect_pose(path_of(drive).pose_at(6.0), 0.0, 0.0, 2.0 * std::numbers::pi, 1e-5);
}

TEST(Odometry, AWheelThatCountsBackwardsHasANegativeConstant) {
  Drive drive = drive_of({{0.0, 0, 0}, {1.0, -1000, 1000}});
  drive.robot.drive->left_m_per_tick = -0.001;
  expect_pose(path_of(drive).pose_at(1.0), 1.0, 0.0, 0.0, 1e-12);
}

TEST(Odometry, WayAndTurnAddUpWithoutSign) {
  const OdometryPath path =
      path_of(drive_of({{0.0, 0, 0}, {1.0, 1000, 1000}, {2.0, 0, 0}, {3.0, -200, 200}, {4.0, 0, 0}}));
  EXPECT_NEAR(path.way_at_m(4.0), 2.0, 1e-12);
  EXPECT_NEAR(path.way_at_m(0.5), 0.5, 1e-12);
  EXPECT_NEAR(path.turned_at_rad(4.0), 2.0, 1e-12);
  EXPECT_NEAR(path.turned_at_rad(2.5), 0.5, 1e-12);
  expect_pose(path.pose_at(4.0), 0.0, 0.0, 0.0, 1e-12);
}

TEST(Odometry, OutsideItsTimesThePathStandsStill) {
  const OdometryPath path = path_of(drive_of({{1.0, 0, 0}, {2.0, 1000, 1200}}));
  expect_pose(path.pose_at(-100.0), 0.0, 0.0, 0.0, 0.0);
  const Pose2 last = path.pose_at(2.0);
  expect_pose(path.pose_at(100.0), last.x_m, last.y_m, last.heading_rad, 0.0);
}

TEST(Odometry, TwoSamplesAtOneMomentAreBothCounted) {
  const OdometryPath path = path_of(drive_of({{0.0, 0, 0}, {1.0, 500, 500}, {1.0, 700, 700}, {2.0, 1000, 1000}}));
  expect_pose(path.pose_at(1.5), 0.85, 0.0, 0.0, 1e-12);
  expect_pose(path.pose_at(2.0), 1.0, 0.0, 0.0, 1e-12);
  for (double t = -0.5; t < 2.6; t += 0.125) EXPECT_TRUE(log(path.pose_at(t)).allFinite()) << t;
}

TEST(Odometry, FewerThanTwoSamplesGiveNoSteps) {
  EXPECT_TRUE(odometry_steps(drive_of({})).empty());
  EXPECT_TRUE(odometry_steps(drive_of({{0.0, 1, 1}})).empty());
  EXPECT_TRUE(path_of(drive_of({})).empty());
  EXPECT_TRUE(odometry_steps(Drive{}).empty());
}

TEST(Odometry, PosesOfTheRobotAreTakenOverAndAHeadingThatWrapsIsNoWholeTurn) {
  Drive drive;
  drive.odometry = {{0.0, {1.0, 2.0, 3.1}}, {1.0, {0.9, 2.05, -3.1}}, {2.0, {0.8, 2.05, 3.0}}};
  const OdometryPath path = path_of(drive);
  for (const TimedPose& sample : drive.odometry) {
    const Pose2 expected = between(drive.odometry.front().pose, sample.pose);
    const Pose2 found = path.pose_at(sample.time_s);
    EXPECT_NEAR(found.x_m, expected.x_m, 1e-12);
    EXPECT_NEAR(found.y_m, expected.y_m, 1e-12);
    EXPECT_NEAR(wrap_angle(found.heading_rad - expected.heading_rad), 0.0, 1e-12);
  }
  EXPECT_LT(path.turned_at_rad(2.0), 0.3);
}

TEST(Odometry, NothingIsKnownOfTheMotionAtABreak) {
  Drive drive = drive_of({{0.0, 0, 0}, {1.0, 1000, 1000}, {2.0, 0, 0}, {3.0, 1000, 1000}});
  drive.breaks = {2};
  const std::vector<OdometryStep> steps = odometry_steps(drive);
  EXPECT_FALSE(steps[0].unknown);
  EXPECT_TRUE(steps[1].unknown);
  expect_pose(path_of(drive).pose_at(3.0), 2.0, 0.0, 0.0, 1e-12);
  const Eigen::Matrix3d covariance = stretch_covariance(steps, {}, 0.5, 2.5);
  EXPECT_GE(covariance(0, 0), 100.0 * 100.0);
  EXPECT_GE(covariance(1, 1), 100.0 * 100.0);
  EXPECT_GE(covariance(2, 2), std::numbers::pi * std::numbers::pi);
  EXPECT_LT(stretch_covariance(steps, {}, 2.0, 3.0)(0, 0), 0.01) << "after the break all is well";
}

// Half of a step's slip lies in half of its time; a heading that slipped swings what is driven afterwards.
TEST(Odometry, SlipsThatNoScanShowsAddUpAlongTheWay) {
  Drive drive;
  for (int i = 0; i <= 3; ++i) drive.odometry.push_back({1.0 * i, {1.0 * i, 0.0, 0.0}});
  std::vector<OdometryStep> steps = odometry_steps(drive);
  EXPECT_TRUE(slip_covariance(steps, 0.0, 3.0).isZero());
  steps[1].slip_variance = {0.04, 0.01, 0.02};
  EXPECT_TRUE(slip_covariance(steps, 0.0, 1.0).isZero());
  EXPECT_TRUE(slip_covariance(steps, 5.0, 6.0).isZero()) << "beyond the drive";
  EXPECT_NEAR(slip_covariance(steps, 0.5, 1.5)(0, 0), 0.02, 1e-12);
  const Eigen::Matrix3d whole = slip_covariance(steps, 0.0, 3.0);
  EXPECT_NEAR(whole(0, 0), 0.04, 1e-12);
  EXPECT_NEAR(whole(2, 2), 0.02, 1e-12);
  EXPECT_NEAR(whole(1, 1), 0.01 + 0.02 * 1.0 * 1.0, 1e-12) << "a metre further on";
  const Eigen::Matrix3d noise = stretch_covariance(odometry_steps(drive), {}, 0.0, 3.0);
  EXPECT_TRUE(noise.isApprox(stretch_covariance(steps, {}, 0.0, 3.0))) << "which is no noise of odometry";
}

TEST(Odometry, APoseThatJumpsALittleIsAGuessAndAFarJumpIsNone) {
  Drive drive;
  drive.odometry = {{0.0, {}}, {1.0, {0.5, 0.0, 0.0}}, {1.1, {0.9, 0.3, 1.7}}, {1.2, {7.0, 0.0, 0.0}}};
  drive.breaks = {2, 3};
  const std::vector<OdometryStep> steps = odometry_steps(drive);
  EXPECT_TRUE(steps[1].unknown && steps[2].unknown);
  expect_pose(path_of(drive).pose_at(1.1), 0.9, 0.3, 1.7, 1e-12);
  expect_pose(path_of(drive).pose_at(1.2), 0.9, 0.3, 1.7, 1e-12);
  EXPECT_GE(stretch_covariance(steps, {}, 1.0, 1.1)(0, 0), 100.0 * 100.0);
}

TEST(OdometryCorrection, ScalesWayAndTurnAndAddsCurvature) {
  const Drive drive = drive_of({{0.0, 0, 0}, {1.0, 900, 1100}});  // 1 m, 0.5 rad
  OdometryCorrection correction;
  correction.distance_scale = 0.01;
  correction.turn_scale = -0.02;
  correction.curvature_rad_per_m = 0.03;
  const OdometryPath path = path_of(drive, correction);
  const Pose2 expected = exp({1.01, 0.0, 0.5 * 0.98 + 0.03});
  expect_pose(path.pose_at(1.0), expected.x_m, expected.y_m, expected.heading_rad, 1e-12);
}

/// Stands for 10 s, then turns by 1 rad/s for 10 s; the wheels slip and see only 0.9 of the turn.
Drive drive_with_gyro(double bias_rad_s, double scale, int sign) {
  Drive drive = drive_of({});
  for (int i = 0; i <= 1000; ++i) {
    const double time_s = 0.02 * i;
    const auto ticks = static_cast<std::int64_t>(std::llround(200.0 * 0.9 * std::max(0.0, time_s - 10.0)));
    drive.wheels.push_back({time_s, -ticks, ticks});
    drive.gyro.push_back({time_s, sign * ((time_s > 10.0 ? 1.0 : 0.0) + bias_rad_s) / scale});
  }
  drive.robot.gyro = {sign, scale, 0.0, 0.002};
  return drive;
}

TEST(Gyro, IsBelievedMoreThanSlippingWheelsAndItsBiasIsFound) {
  for (int sign : {1, -1}) {
    const Drive drive = drive_with_gyro(0.03, 1.05, sign);
    const OdometryPath path = path_of(drive);
    EXPECT_NEAR(path.pose_at(20.0).heading_rad, 10.0, 0.15) << "the wheels alone say 9";
    EXPECT_NEAR(path.pose_at(10.0).heading_rad, 0.0, 1e-3) << "0.3 rad of bias would show here";
    for (const OdometryStep& step : odometry_steps(drive)) {
      EXPECT_GE(step.gyro_share, 0.0);
      EXPECT_LE(step.gyro_share, 1.0);
    }
  }
}

TEST(Gyro, ThatIsCarriedDoesNotShowItsBias) {
  // Ten seconds straight ahead, two at rest, eight carried: the wheels stand, the robot turns at 0.2 rad/s.
  Drive drive = drive_of({});
  for (int i = 0; i <= 1000; ++i) {
    const double time_s = 0.02 * i;
    const auto ticks = static_cast<std::int64_t>(std::llround(200.0 * std::min(time_s, 10.0)));
    drive.wheels.push_back({time_s, ticks, ticks});
    drive.gyro.push_back({time_s, 0.03 + (time_s > 12.0 ? 0.2 : 0.0)});
  }
  drive.robot.gyro = {1, 1.0, 0.0, 0.002};
  EXPECT_NEAR(gyro_bias_rad_s(drive).value(), 0.03, 1e-6);
}

TEST(Gyro, BiasOfARobotAtRestHoldsWhereTheWheelsAreStatedWrong) {
  // The wheels say straight ahead while the robot turns by 0.1 rad/s.
  Drive drive = drive_of({});
  for (int i = 0; i <= 1000; ++i) {
    const double time_s = 0.02 * i;
    const auto ticks = static_cast<std::int64_t>(std::llround(200.0 * std::max(0.0, time_s - 10.0)));
    drive.wheels.push_back({time_s, ticks, ticks});
    drive.gyro.push_back({time_s, 0.03 + (time_s > 10.0 ? 0.1 : 0.0)});
  }
  drive.robot.gyro = {1, 1.0, 0.0, 0.002};
  EXPECT_NEAR(gyro_bias_rad_s(drive).value(), 0.03, 1e-6);
}

TEST(Gyro, IsLeftOutWhereItsBiasDoesNotShow) {
  Drive drive = drive_with_gyro(0.03, 1.0, 1);
  std::erase_if(drive.wheels, [](const WheelCounts& w) { return w.time_s < 10.0; });  // never at rest
  for (const OdometryStep& step : odometry_steps(drive)) EXPECT_EQ(step.gyro_share, 0.0);
}

TEST(Gyro, LowersTheVarianceOfTheTurn) {
  Drive drive = drive_with_gyro(0.0, 1.0, 1);
  const double with = stretch_covariance(odometry_steps(drive), odometry_noise(drive.robot), 10.0, 20.0)(2, 2);
  drive.gyro.clear();
  const double without = stretch_covariance(odometry_steps(drive), odometry_noise(drive.robot), 10.0, 20.0)(2, 2);
  EXPECT_LT(with, 0.5 * without);
}

// 10 m straight ahead in 100 steps: the sideways variance is that of a heading that walks at random, sum of
// sd^2 * (way left)^2, besides the slip.
TEST(Odometry, TicksThatComeOneByOneAreNoTurning) {
  std::vector<WheelCounts> wheels;
  for (int i = 0; i <= 400; ++i) wheels.push_back({0.01 * i, i / 2, (i + 1) / 2});  // the wheels tick by turns
  const std::vector<OdometryStep> steps = odometry_steps(drive_of(wheels));
  for (std::size_t i = 20; i + 20 < steps.size(); ++i) {
    ASSERT_LT(steps[i].turn_share, 0.04) << i;  // 0.5 of each step alone
    ASSERT_NEAR(steps[i].rolled_m, 0.0005, 2e-5) << i;
  }
}

TEST(Odometry, OnTheSpotTheWheelsRollThoughTheRobotGoesNowhere) {
  const std::vector<OdometryStep> steps = odometry_steps(drive_of({{0.0, 0, 0}, {1.0, -200, 200}, {2.0, -400, 400}}));
  EXPECT_NEAR(steps.front().turn_share, 1.0, 1e-12);
  EXPECT_NEAR(steps.front().rolled_m, 0.2, 1e-12);
}

// F. Chong, L. Kleeman, ICRA 1997: each wheel's variance grows with its own way.
TEST(StretchCovariance, GrowsAlongWithTheWheelsOwnWayOnTheSpot) {
  const Drive drive = drive_of({{0.0, 0, 0}, {1.0, -200, 200}});
  const OdometryNoise noise = odometry_noise(drive.robot);
  const Eigen::Matrix3d covariance = stretch_covariance(exactly_counted(odometry_steps(drive)), noise, 0.0, 1.0);
  EXPECT_NEAR(covariance(0, 0), 0.2 * std::pow(noise.sd_along_m_per_sqrt_m, 2), 1e-12);
}

TEST(StretchCovariance, OfAStraightLineHasAClosedForm) {
  std::vector<WheelCounts> wheels;
  for (int i = 0; i <= 100; ++i) wheels.push_back({0.05 * i, 100 * i, 100 * i});
  const Drive drive = drive_of(wheels);
  const OdometryNoise noise = odometry_noise(drive.robot);
  const Eigen::Matrix3d covariance = stretch_covariance(exactly_counted(odometry_steps(drive)), noise, 0.0, 5.0);
  EXPECT_NEAR(covariance(0, 0), std::pow(noise.sd_along_m_per_sqrt_m, 2) * 10.0, 1e-12);
  EXPECT_NEAR(covariance(2, 2), std::pow(noise.sd_rad_per_sqrt_m, 2) * 10.0, 1e-12);
  double lever = 0.0;
  for (int i = 1; i <= 100; ++i) lever += 0.1 * std::pow(10.0 - 0.1 * i, 2);
  EXPECT_NEAR(covariance(1, 1),
              std::pow(noise.sd_across_m_per_sqrt_m, 2) * 10.0 + std::pow(noise.sd_rad_per_sqrt_m, 2) * lever, 1e-9);
}

// The stated covariance against the spread of 20,000 paths with the stated noise at every step.
TEST(StretchCovariance, IsTheSpreadOfNoisyPaths) {
  std::vector<WheelCounts> wheels{{0.0, 0, 0}};
  for (int i = 1; i <= 20; ++i) {
    const WheelCounts& last = wheels.back();
    wheels.push_back({0.05 * i, last.left_ticks + (i < 10 ? 60 : 100), last.right_ticks + (i < 10 ? 100 : 70)});
  }
  const Drive drive = drive_of(wheels);
  const std::vector<OdometryStep> steps = exactly_counted(odometry_steps(drive));
  const OdometryNoise noise = odometry_noise(drive.robot);
  const Eigen::Matrix3d stated = stretch_covariance(steps, noise, 0.0, 1.0);
  const Pose2 end = path_of(drive).pose_at(1.0);
  std::mt19937 random(1);
  std::normal_distribution<double> gauss;
  Eigen::Matrix3d spread = Eigen::Matrix3d::Zero();
  constexpr int kPaths = 20000;
  for (int i = 0; i < kPaths; ++i) {
    Pose2 pose;
    for (const OdometryStep& step : steps) {
      const double root_way = std::sqrt(step.motion.head<2>().norm());
      const Tangent2 slip(noise.sd_along_m_per_sqrt_m * root_way * gauss(random),
                          noise.sd_across_m_per_sqrt_m * root_way * gauss(random),
                          std::sqrt(step.turn_variance_rad2) * gauss(random));
      pose = pose * exp(step.motion) * exp(slip);
    }
    const Tangent2 error = log(between(end, pose));
    spread += error * error.transpose() / kPaths;
  }
  // Relative standard deviation of a variance from n samples: sqrt(2 / n) = 1 %.
  const Eigen::LLT<Eigen::Matrix3d> root(stated);
  const Eigen::Matrix3d half = root.matrixL().solve(spread);
  const Eigen::Matrix3d whitened = root.matrixL().solve(half.transpose());
  EXPECT_LT((whitened - Eigen::Matrix3d::Identity()).cwiseAbs().maxCoeff(), 0.05) << whitened;
}

/// 0.3 m/s with ticks of 10 mm, 50 rows a second.
Drive coarse_drive(double duration_s) {
  Drive drive = drive_of({});
  drive.robot.drive->left_m_per_tick = drive.robot.drive->right_m_per_tick = 0.01;
  for (int i = 0; i <= static_cast<int>(50.0 * duration_s); ++i) {
    const double way = 30.0 * 0.02 * i;
    drive.wheels.push_back({0.02 * i, std::llround(std::floor(way)), std::llround(std::floor(way + 0.6))});
  }
  return drive;
}

TEST(CoarseCounts, AreNoZigzag) {
  const OdometryPath path = path_of(coarse_drive(20.0));
  for (double t = 1.0; t < 19.0; t += 0.02) {
    // One tick of one wheel alone is 0.01 / 0.4 = 0.025 rad, which the counts as they are show; a quarter of it.
    ASSERT_NEAR(path.pose_at(t).heading_rad - path.pose_at(t - 0.2).heading_rad, 0.0, 0.006) << t;
    ASSERT_NEAR(path.way_at_m(t) - path.way_at_m(t - 0.2), 0.06, 0.003) << t;
  }
}

// Both ends of a stretch are open by what the counts leave open, whatever lies between; both wheels' errors are behind
// the way and the heading.
TEST(CoarseCounts, LeaveTheSameOpenHoweverLongTheStretch) {
  const Drive drive = coarse_drive(20.0);
  const std::vector<OdometryStep> steps = odometry_steps(drive);
  const OdometryNoise none{0.0, 0.0, 0.0, 0.0};
  std::vector<OdometryStep> without_slip = steps;
  for (OdometryStep& step : without_slip) step.turn_variance_rad2 = 0.0;
  const Eigen::Matrix3d near_by = stretch_covariance(without_slip, none, 5.0, 6.0);
  const Eigen::Matrix3d far = stretch_covariance(without_slip, none, 5.0, 15.0);
  EXPECT_GT(near_by(0, 0), 1e-7);
  EXPECT_LE(near_by(0, 0), 0.01 * 0.01 / 12.0) << "of the mean of two wheels, at two ends";
  EXPECT_NEAR(far(0, 0), near_by(0, 0), 0.2 * near_by(0, 0));
  EXPECT_NEAR(far(2, 2), near_by(2, 2), 0.2 * near_by(2, 2));
  EXPECT_NEAR(near_by(2, 2), near_by(0, 0) * 4.0 / (0.4 * 0.4), 0.05 * near_by(2, 2));
  EXPECT_NEAR(far(1, 1), 0.5 * far(2, 2) * 3.0 * 3.0, 0.2 * far(1, 1)) << "the heading of the begin, 3 m on";
  EXPECT_LT(stretch_covariance(without_slip, none, 5.0, 5.001)(0, 0), 0.05 * near_by(0, 0)) << "the errors cancel";
}

TEST(CoarseCounts, OverABreakNothingIsKnown) {
  Drive drive = coarse_drive(20.0);
  for (std::size_t i = 500; i < drive.wheels.size(); ++i) {
    drive.wheels[i].left_ticks -= 10000;
    drive.wheels[i].right_ticks += 5000;
  }
  drive.breaks = {500};
  const std::vector<OdometryStep> steps = odometry_steps(drive);
  EXPECT_EQ(std::count_if(steps.begin(), steps.end(), [](const OdometryStep& s) { return s.unknown; }), 1);
  EXPECT_GE(stretch_covariance(steps, {}, 9.0, 11.0)(0, 0), 100.0 * 100.0);
  EXPECT_NEAR(OdometryPath(steps, {}).way_at_m(20.0), 6.0, 0.03);
  for (std::size_t i = 1; i < steps.size(); ++i) ASSERT_EQ(steps[i].begin_s, steps[i - 1].end_s);
}

TEST(CoarseCounts, ReadSeldomHaveStepsInBetween) {
  Drive drive = drive_of({});
  drive.robot.drive->left_m_per_tick = drive.robot.drive->right_m_per_tick = 1e-4;
  for (int i = 0; i <= 40; ++i) drive.wheels.push_back({0.25 * i, -5 * i * i, 5 * i * i});  // turns ever faster
  const OdometryPath path = path_of(drive);
  // 5 ticks * (t / 0.25 s)^2 on both sides: 0.04 rad/s^2 * t^2, also between the rows.
  for (double t = 2.0; t < 8.0; t += 0.05) ASSERT_NEAR(path.pose_at(t).heading_rad, 0.04 * t * t, 0.0005) << t;
}

// The wheels' counts come to rest slowly once they are smoothed; the gyro's bias still is what it reads at rest.
TEST(CoarseCounts, ARobotAtRestShowsTheGyrosBias) {
  Drive drive = coarse_drive(10.0);
  for (int i = 1; i <= 500; ++i) drive.wheels.push_back({10.0 + 0.02 * i, 300, 300});
  // Straight ahead by the wheels, though it turns by 0.02 rad/s there.
  for (int i = 0; i <= 1000; ++i) drive.gyro.push_back({0.02 * i, i < 500 ? 0.05 : 0.03});
  drive.robot.gyro = {1, 1.0, 0.0, 0.002};
  EXPECT_NEAR(gyro_bias_rad_s(drive).value(), 0.03, 2e-3);
}

/// By how much the path is turned at the begin of sweeps, beside where it is turned during each as a whole: mean square
/// and what is stated of it. A robot that drives 6 m, to and fro and about by up to 0.7 m/s2.
struct CountErrors {
  double found_rad2 = 0.0;
  double stated_rad2 = 0.0;
};

CountErrors count_errors(double tick_m, double sweep_s) {
  const auto way = [](double t, int side) {
    return 0.3137 * t + 0.05 * std::sin(3.1 * t) + side * 0.05 * std::sin(2.3 * t);
  };
  Drive drive = drive_of({});
  drive.robot.drive->left_m_per_tick = drive.robot.drive->right_m_per_tick = tick_m;
  for (int i = 0; i <= 1000; ++i) {
    const auto count = [&](int side) { return std::llround(std::floor(way(0.02 * i, side) / tick_m + 0.3 * side)); };
    drive.wheels.push_back({0.02 * i, count(-1), count(1)});
  }
  const std::vector<OdometryStep> steps = odometry_steps(drive);
  const OdometryPath path(steps, {});
  const auto error = [&](double t) { return path.pose_at(t).heading_rad - (way(t, 1) - way(t, -1)) / 0.4; };
  CountErrors errors;
  constexpr int kSweeps = 1700;
  for (int sweep = 0; sweep < kSweeps; ++sweep) {
    const double begin_s = 1.0 + 0.0103 * sweep;
    double mean = 0.0;
    for (int k = 0; k < 100; ++k) mean += error(begin_s + (k + 0.5) / 100 * sweep_s) / 100;
    errors.found_rad2 += std::pow(error(begin_s) - mean, 2) / kSweeps;
    errors.stated_rad2 += count_covariance(steps, begin_s, sweep_s)(2, 2) / kSweeps;
  }
  return errors;
}

TEST(CountCovariance, IsWhatThePathErrsByBesideTheSweep) {
  for (const double tick_m : {0.0005, 0.001}) {
    for (const double sweep_s : {0.1, 0.2}) {
      const CountErrors errors = count_errors(tick_m, sweep_s);
      EXPECT_NEAR(errors.stated_rad2, errors.found_rad2, 0.15 * errors.found_rad2) << tick_m << ", " << sweep_s;
    }
  }
}

// Of smoothed counts the errors of one sweep are partly the same, and the acceleration that is expected is more than
// this robot's: at most twice the size is stated.
TEST(CountCovariance, OfCoarseCountsIsNoLessThanThePathErrsBy) {
  for (const double tick_m : {0.002, 0.01}) {
    const double most = tick_m < 0.005 ? 2.0 : 4.5;
    for (const double sweep_s : {0.1, 0.2}) {
      const CountErrors errors = count_errors(tick_m, sweep_s);
      EXPECT_GT(errors.stated_rad2, errors.found_rad2) << tick_m << ", " << sweep_s;
      EXPECT_LT(errors.stated_rad2, most * errors.found_rad2) << tick_m << ", " << sweep_s;
    }
  }
}

TEST(CountCovariance, IsNoneWhereNothingMovesDuringTheSweep) {
  Drive drive = coarse_drive(10.0);
  for (int i = 1; i <= 500; ++i) drive.wheels.push_back({10.0 + 0.02 * i, 300, 300});
  const std::vector<OdometryStep> steps = odometry_steps(drive);
  const double driving = count_covariance(steps, 5.0, 0.1)(0, 0);
  EXPECT_GT(driving, 1e-7);
  EXPECT_LT(count_covariance(steps, 15.0, 0.1)(0, 0), 0.01 * driving) << "at rest";
  EXPECT_EQ(count_covariance(steps, 5.0, 0.0).norm(), 0.0) << "all beams at once";
  EXPECT_EQ(count_covariance({}, 5.0, 0.1).norm(), 0.0);
}

TEST(StretchCovariance, OfNoTimeIsZero) {
  const Drive drive = drive_of({{0.0, 0, 0}, {1.0, 900, 1100}});
  EXPECT_EQ(stretch_covariance(odometry_steps(drive), {}, 0.4, 0.4).norm(), 0.0);
  EXPECT_EQ(stretch_covariance({}, {}, 0.0, 1.0).norm(), 0.0);
}

// Two stretches one after the other make the whole: C = A C1 A^T + C2, A the adjoint that carries the first error on.
TEST(StretchCovarianceProperty, StretchesJoin) {
  EXPECT_TRUE(rc::check([] {
    std::vector<WheelCounts> wheels{{0.0, 0, 0}};
    for (int i = 1; i <= 30; ++i) {
      const WheelCounts& last = wheels.back();
      wheels.push_back(
          {0.05 * i, last.left_ticks + *rc::gen::inRange(-50, 120), last.right_ticks + *rc::gen::inRange(-50, 120)});
    }
    const Drive drive = drive_of(wheels);
    const std::vector<OdometryStep> steps = exactly_counted(odometry_steps(drive));
    const OdometryNoise noise = odometry_noise(drive.robot);
    const double middle_s = 0.05 * *rc::gen::inRange(1, 30);
    const Eigen::Matrix3d whole = stretch_covariance(steps, noise, 0.0, 1.5);
    const OdometryPath path = path_of(drive);
    const Eigen::Matrix3d carry = adjoint(inverse(between(path.pose_at(middle_s), path.pose_at(1.5))));
    const Eigen::Matrix3d joined = carry * stretch_covariance(steps, noise, 0.0, middle_s) * carry.transpose() +
                                   stretch_covariance(steps, noise, middle_s, 1.5);
    RC_ASSERT((whole - joined).norm() < 1e-9 + 1e-6 * whole.norm());
    const Eigen::Vector3d eigenvalues = Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d>(whole).eigenvalues();
    RC_ASSERT(eigenvalues.minCoeff() > -1e-12);
  }));
}

// A robot that drives on an arc: the heading's noise alone makes both other parts uncertain, and all of that grows with
// its own ratio.
TEST(OdometryTest, EachPartsNoiseHasItsOwnRatio) {
  std::vector<WheelCounts> wheels;
  for (int i = 0; i <= 30; ++i) wheels.push_back({0.05 * i, 40 * i, 60 * i});
  const Drive drive = drive_of(wheels);
  const std::vector<OdometryStep> steps = exactly_counted(odometry_steps(drive));
  const OdometryNoise noise = odometry_noise(drive.robot);
  const auto with = [&](const NoiseRatio& ratio) { return stretch_covariance(steps, noise, 0.0, 1.5, ratio); };
  const Eigen::Matrix3d heading = with({0.0, 0.0, 1.0});
  EXPECT_GT(heading(1, 1), 1e-9);
  EXPECT_TRUE(with({0.0, 0.0, 3.0}).isApprox(9.0 * heading));
  EXPECT_TRUE(
      with({2.0, 0.5, 3.0}).isApprox(4.0 * with({1.0, 0.0, 0.0}) + 0.25 * with({0.0, 1.0, 0.0}) + 9.0 * heading));
  EXPECT_TRUE(with(kAsStated).isApprox(stretch_covariance(steps, noise, 0.0, 1.5)));
}

}  // namespace
}  // namespace wainscot
