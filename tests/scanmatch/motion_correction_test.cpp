#include "scanmatch/motion_correction.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>
#include <rapidcheck.h>

#include "tests/scanmatch/room.hpp"

namespace wainscot {
namespace {

constexpr double kSweepS = 0.2;
constexpr double kMaxRangeM = 12.0;

/// The path of constant velocity from time 0 on, sampled at 50 Hz.
OdometryPath constant_path(const Tangent2& velocity, double duration_s = 1.0) {
  std::vector<OdometryStep> steps;
  for (int i = 0; i < static_cast<int>(duration_s * 50.0); ++i) {
    OdometryStep step;
    step.begin_s = 0.02 * i;
    step.end_s = 0.02 * (i + 1);
    step.motion = 0.02 * velocity;
    steps.push_back(step);
  }
  return {steps, {}};
}

/// One turn of the lidar on a robot that passes `start` at time 0 and keeps its velocity. `sense` -1: clockwise.
Scan moving_scan(const Room& room, const Pose2& start, const Tangent2& velocity, const Pose2& mounting, int sense = 1) {
  Scan scan;
  constexpr int kBeams = 360;
  for (int i = 0; i < kBeams; ++i) {
    const double time_s = kSweepS * i / kBeams;
    const double angle = wrap_angle(sense * (0.003 + 2.0 * std::numbers::pi * i / kBeams));
    const Pose2 lidar = start * exp(time_s * velocity) * mounting;
    const double direction = lidar.heading_rad + angle;
    const Hit hit = room.cast(lidar.translation(), {std::cos(direction), std::sin(direction)});
    scan.returns.push_back({static_cast<float>(angle), static_cast<float>(hit.range_m), static_cast<float>(time_s)});
  }
  return scan;
}

/// The furthest that any point lies from the walls of a rectangle around the origin.
double furthest_from_rectangle(const std::vector<ScanPoint>& points, const Pose2& pose, double length_m,
                               double width_m) {
  double furthest = 0.0;
  for (const ScanPoint& p : points) {
    const Eigen::Vector2d world = pose * Eigen::Vector2d(p.x_m, p.y_m);
    const double x = std::abs(world.x()) - 0.5 * length_m;
    const double y = std::abs(world.y()) - 0.5 * width_m;
    furthest = std::max(furthest, std::abs(std::max(x, y)));
  }
  return furthest;
}

std::vector<ScanPoint> corrected(const Scan& scan, const LidarModel& lidar, const OdometryPath& path) {
  return correct_motion(scan, lidar, kMaxRangeM,
                        sweep_motion(path, 0.0, sweep_duration_s(scan, lidar), Tangent2::Zero()));
}

TEST(MotionCorrection, AScanTakenWhileTurningEqualsTheScanAtRest) {
  const Tangent2 velocity(0.0, 0.0, 1.0);
  const Pose2 start{0.4, -0.3, 0.2};
  const Scan scan = moving_scan(rectangle(5.0, 4.0), start, velocity, {});
  const std::vector<ScanPoint> points = corrected(scan, {}, constant_path(velocity));
  ASSERT_EQ(points.size(), 360U);
  for (const ScanPoint& p : points) {
    // At rest the same wall point is seen at the angle that the robot had turned to meanwhile.
    const double angle = p.angle_rad + 1.0 * p.time_offset_s;
    const Eigen::Vector2d beam(std::cos(angle), std::sin(angle));
    const Hit hit = rectangle(5.0, 4.0).cast(start.translation(), start.rotation() * beam);
    EXPECT_NEAR(p.x_m, hit.range_m * beam.x(), 2e-6);
    EXPECT_NEAR(p.y_m, hit.range_m * beam.y(), 2e-6);
    EXPECT_NEAR(p.beam_x, beam.x(), 1e-6);
    EXPECT_NEAR(p.beam_y, beam.y(), 1e-6);
  }
  // Uncorrected, the same scan is smeared by 0.2 rad.
  const std::vector<ScanPoint> smeared = correct_motion(scan, {}, kMaxRangeM, SweepMotion{});
  EXPECT_GT(furthest_from_rectangle(smeared, start, 5.0, 4.0), 0.2);
}

TEST(MotionCorrection, ArcsMountingsAndClockwiseLidarsPutEveryReturnOnItsWall) {
  const Tangent2 velocity(0.5, 0.0, 1.0);
  const Pose2 start{0.4, -0.3, 2.0};
  LidarModel lidar;
  lidar.mounting = {0.08, -0.03, 0.6};
  for (int sense : {1, -1}) {
    const Scan scan = moving_scan(rectangle(5.0, 4.0), start, velocity, lidar.mounting, sense);
    const std::vector<ScanPoint> points = corrected(scan, lidar, constant_path(velocity));
    ASSERT_EQ(points.size(), 360U);
    // Chords in place of arcs: v * w * dt^2 / 8 = 0.01 mm; single precision: 0.001 mm.
    EXPECT_LT(furthest_from_rectangle(points, start, 5.0, 4.0), 2e-5);
  }
}

TEST(MotionCorrection, TheExtraVelocityMakesUpForWrongOdometry) {
  const Tangent2 velocity(0.3, 0.05, -0.8);
  const Pose2 start{-0.5, 0.2, 1.0};
  const Scan scan = moving_scan(rectangle(5.0, 4.0), start, velocity, {});
  const OdometryPath at_rest = constant_path(Tangent2::Zero());
  const SweepMotion motion = sweep_motion(at_rest, 0.0, sweep_duration_s(scan, {}), velocity);
  EXPECT_LT(furthest_from_rectangle(correct_motion(scan, {}, kMaxRangeM, motion), start, 5.0, 4.0), 2e-5);
}

TEST(MotionCorrection, SweepBeginsAnywhereOnThePath) {
  const Tangent2 velocity(0.4, 0.0, 0.9);
  const OdometryPath path = constant_path(velocity, 2.0);
  const SweepMotion motion = sweep_motion(path, 0.613, 0.15, Tangent2::Zero());
  for (int i = 0; i <= SweepMotion::kSteps; ++i) {
    const Pose2 expected = exp(0.15 * i / SweepMotion::kSteps * velocity);
    EXPECT_LT(apart(expected, motion.poses[static_cast<std::size_t>(i)]), 1e-9) << i;
  }
}

TEST(MotionCorrection, SweepScaleStretchesTheBeamsTimes) {
  // The motor turned 4 % slower than the stamps say.
  const Tangent2 velocity(0.0, 0.0, 1.0);
  Scan scan = moving_scan(rectangle(5.0, 4.0), {}, velocity, {});
  for (Return& beam : scan.returns) beam.time_offset_s /= 1.04F;
  LidarModel lidar;
  lidar.sweep_scale = 1.04;
  EXPECT_NEAR(sweep_duration_s(scan, lidar), kSweepS * 359 / 360, 1e-6);
  EXPECT_LT(furthest_from_rectangle(corrected(scan, lidar, constant_path(velocity)), {}, 5.0, 4.0), 2e-5);
}

TEST(MotionCorrection, RangeScaleAndOffsetAreApplied) {
  Scan scan;
  scan.returns = {{0.0F, 2.0F, 0.0F}};
  LidarModel lidar;
  lidar.range_scale = 1.01;
  lidar.range_offset_m = -0.03;
  const std::vector<ScanPoint> points = correct_motion(scan, lidar, kMaxRangeM, SweepMotion{});
  ASSERT_EQ(points.size(), 1U);
  EXPECT_NEAR(points[0].range_m, 1.99, 1e-6);
  EXPECT_NEAR(points[0].x_m, 1.99, 1e-6);
}

TEST(MotionCorrection, BeamsWithoutEchoAndImpossibleRangesAreLeftOut) {
  Scan scan;
  scan.returns = {{0.0F, 8.0F, 0.0F}, {0.1F, 9.0F, 0.0F}, {0.2F, 0.05F, 0.0F}, {0.3F, 7.99F, 0.0F}};
  LidarModel lidar;
  lidar.range_offset_m = -0.06;
  const std::vector<ScanPoint> points = correct_motion(scan, lidar, 8.0, SweepMotion{});
  ASSERT_EQ(points.size(), 1U) << "at the maximum, beyond it, behind the lidar";
  EXPECT_FLOAT_EQ(points[0].angle_rad, 0.3F);
}

TEST(MotionCorrection, AnEmptyScanHasNoPointsAndNoDuration) {
  EXPECT_EQ(sweep_duration_s({}, {}), 0.0);
  EXPECT_TRUE(correct_motion({}, {}, kMaxRangeM, SweepMotion{}).empty());
  const SweepMotion motion = sweep_motion(constant_path({1.0, 0.0, 1.0}), 0.3, 0.0, Tangent2::Zero());
  EXPECT_EQ(motion.duration_s, 0.0);
  EXPECT_EQ(log(motion.poses.back()).norm(), 0.0);
}

TEST(MotionCorrection, NormalsAreNotKnownYet) {
  const Scan scan = moving_scan(rectangle(5.0, 4.0), {}, Tangent2::Zero(), {});
  for (const ScanPoint& p : corrected(scan, {}, constant_path(Tangent2::Zero()))) {
    EXPECT_EQ(p.normal_x, 0.0F);
    EXPECT_EQ(p.normal_y, 0.0F);
  }
}

TEST(LidarModel, TakesTheStatedConstants) {
  LidarConstants constants;
  constants.x_m = 0.04;
  constants.y_m = -0.01;
  constants.heading_deg = 180.0;
  constants.range_scale = 1.005;
  constants.range_offset_m = 0.002;
  const LidarModel model = lidar_model(constants);
  EXPECT_DOUBLE_EQ(model.mounting.x_m, 0.04);
  EXPECT_DOUBLE_EQ(model.mounting.y_m, -0.01);
  EXPECT_DOUBLE_EQ(model.mounting.heading_rad, std::numbers::pi);
  EXPECT_DOUBLE_EQ(model.range_scale, 1.005);
  EXPECT_DOUBLE_EQ(model.range_offset_m, 0.002);
  EXPECT_DOUBLE_EQ(model.sweep_scale, 1.0);
}

TEST(MotionCorrectionProperty, AnyMotionPutsEveryReturnOnItsWall) {
  EXPECT_TRUE(rc::check([] {
    const auto drawn = [](double most) { return most * static_cast<double>(*rc::gen::inRange(-1000, 1001)) / 1000.0; };
    const Tangent2 velocity(drawn(0.6), drawn(0.1), drawn(2.0));
    const Pose2 start{drawn(1.5), drawn(1.0), drawn(3.1)};
    LidarModel lidar;
    lidar.mounting = {drawn(0.1), drawn(0.1), drawn(3.1)};
    const Scan scan = moving_scan(rectangle(5.0, 4.0), start, velocity, lidar.mounting);
    const std::vector<ScanPoint> points = corrected(scan, lidar, constant_path(velocity));
    RC_ASSERT(points.size() == 360U);
    RC_ASSERT(furthest_from_rectangle(points, start, 5.0, 4.0) < 6e-5);
  }));
}

}  // namespace
}  // namespace wainscot
