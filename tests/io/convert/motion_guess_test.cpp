#include "io/convert/motion_guess.hpp"

#include <gtest/gtest.h>

#include "core/angles.hpp"
#include "tests/io/convert/made_room_log.hpp"

namespace wainscot {
namespace {

const MadeRoom& the_room() {
  static const MadeRoom room(30.0);
  return room;
}

MotionGuess motion_of(const RecordKind& other) {
  const LogSample sample = made_sample({made_scan_kind(the_room()), other});
  const RangeGuess ranges = guess_ranges(sample).at(0);
  return guess_motion(sample, ranges, track_lidar(sampled_scans(sample, ranges, 1000)));
}

TEST(MotionGuess, FindsTheCounters) {
  RecordKind kind = made_wheel_kind(the_room());
  kind.columns.insert(kind.columns.begin() + 1,
                      made_column("volt", std::vector<double>(kind.columns[0].values.size(), 12.5)));
  const MotionGuess found = motion_of(kind);
  ASSERT_FALSE(found.wheels.empty());
  const WheelGuess& wheels = found.wheels.front();
  EXPECT_EQ(wheels.first, 2U);
  EXPECT_EQ(wheels.second, 3U);
  EXPECT_FALSE(wheels.increments);
  EXPECT_TRUE(wheels.unit.empty());
  EXPECT_GT(wheels.records.clock.explained, 0.95);
  EXPECT_NEAR(wheels.fit.left_m_per_tick, MadeRoom::kTick, 0.05 * MadeRoom::kTick);
  EXPECT_NEAR(wheels.fit.track_width_m, MadeRoom::kTrack, 0.03);
}

TEST(MotionGuess, TellsIncrementsFromTotals) {
  RecordKind kind = made_wheel_kind(the_room());
  for (std::size_t c : {1U, 2U}) {
    std::vector<double>& values = kind.columns[c].values;
    for (std::size_t i = values.size() - 1; i > 0; --i) values[i] -= values[i - 1];
    values[0] = 0.0;
  }
  const MotionGuess found = motion_of(kind);
  ASSERT_FALSE(found.wheels.empty());
  EXPECT_TRUE(found.wheels.front().increments);
  EXPECT_FALSE(found.wheels.front().wraps_at_bits);
  // The totals that they were taken from wrapped on the way.
  kind.columns[1].values[700] -= 4294967296.0;
  const MotionGuess wrapped = motion_of(kind);
  ASSERT_FALSE(wrapped.wheels.empty());
  EXPECT_EQ(wrapped.wheels.front().wraps_at_bits, 32);
}

TEST(MotionGuess, WaysHaveAUnit) {
  RecordKind kind = made_wheel_kind(the_room());
  for (std::size_t c : {1U, 2U}) {
    for (double& value : kind.columns[c].values) value = std::round(value) * MadeRoom::kTick * 100.0 + 0.003;
  }
  const MotionGuess found = motion_of(kind);
  ASSERT_FALSE(found.wheels.empty());
  EXPECT_EQ(found.wheels.front().unit, "cm");
  EXPECT_NEAR(found.wheels.front().ticks_of_unit, 1e4, 1e-6);
}

TEST(MotionGuess, FindsPosesAndTheirUnits) {
  RecordKind kind;
  kind.columns = {made_column("t", {}), made_column("a", {}), made_column("b", {}), made_column("c", {})};
  for (const TimedPose& row : the_room().poses) {
    kind.columns[0].values.push_back(std::round(1e3 * row.time_s) + 5000.0);
    kind.columns[1].values.push_back(std::round(1e3 * row.pose.x_m * 10.0) / 10.0);
    kind.columns[2].values.push_back(std::round(1e3 * row.pose.y_m * 10.0) / 10.0);
    kind.columns[3].values.push_back(wrap_angle(row.pose.heading_rad) * kDegreesPerRadian);
  }
  const MotionGuess found = motion_of(kind);
  ASSERT_FALSE(found.odometry.empty());
  const OdometryGuess& odometry = found.odometry.front();
  EXPECT_EQ(odometry.x, 1U);
  EXPECT_EQ(odometry.y, 2U);
  EXPECT_EQ(odometry.heading, 3U);
  EXPECT_EQ(odometry.unit, "mm");
  EXPECT_EQ(odometry.heading_unit, "deg");
  EXPECT_FALSE(odometry.flipped);
}

TEST(MotionGuess, FindsAYawRateAndItsSign) {
  for (const bool degrees : {true, false}) {
    RecordKind kind;
    kind.columns = {made_column("t", {}), made_column("w", {})};
    for (const YawRate& row : the_room().gyro) {
      kind.columns[0].values.push_back(std::round(1e3 * row.time_s) + 5000.0);
      kind.columns[1].values.push_back(-row.yaw_rate_rad_s * (degrees ? kDegreesPerRadian : 1.0) + 0.01);
    }
    const MotionGuess found = motion_of(kind);
    ASSERT_EQ(found.gyros.size(), 1U);
    EXPECT_EQ(found.gyros[0].unit, degrees ? "deg/s" : "rad/s");
    EXPECT_TRUE(found.gyros[0].against_lidar);
    EXPECT_TRUE(found.wheels.empty());
  }
}

TEST(MotionGuess, NoiseIsNoMotion) {
  RecordKind kind = made_wheel_kind(the_room());
  for (std::size_t i = 0; i < kind.columns[1].values.size(); ++i) {
    kind.columns[1].values[i] = static_cast<double>((i * 7919) % 251);
    kind.columns[2].values[i] = 0.01 * static_cast<double>((i * 104729) % 83);
  }
  const MotionGuess found = motion_of(kind);
  EXPECT_TRUE(found.wheels.empty());
  EXPECT_TRUE(found.odometry.empty());
  EXPECT_TRUE(found.gyros.empty());
}

}  // namespace
}  // namespace wainscot
