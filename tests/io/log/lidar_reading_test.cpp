#include "io/log/lidar_reading.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <numbers>

namespace wainscot {
namespace {

TEST(LidarReading, AnglesAreWrapped) {
  for (double angle = -3600.0; angle <= 3600.0; angle += 7.5) {
    const double wrapped = wrap_angle_deg(angle);
    EXPECT_GT(wrapped, -180.0) << angle;
    EXPECT_LE(wrapped, 180.0) << angle;
    EXPECT_NEAR(std::remainder(wrapped - angle, 360.0), 0.0, 1e-9) << angle;
  }
  EXPECT_EQ(wrap_angle_deg(-180.0), 180.0);
  EXPECT_EQ(wrap_angle_deg(540.0), 180.0);
  EXPECT_EQ(wrap_angle_deg(-540.0), 180.0);
  EXPECT_EQ(return_angle_rad(-180.0), static_cast<float>(std::numbers::pi));
}

TEST(LidarReading, ASectorMayCrossZeroOrAHalfTurn) {
  LidarConstants lidar;
  lidar.blind_deg = {{170, -170}, {350, 10}};
  const LidarReading reading(lidar);
  for (const double blind : {170.0, 180.0, -180.0, 190.0, -170.0, 350.0, 0.0, 360.0, 10.0, -5.0}) {
    EXPECT_TRUE(reading.is_blind(blind)) << blind;
  }
  for (const double seen : {169.9, -169.9, 349.9, 10.1, 90.0, -90.0}) EXPECT_FALSE(reading.is_blind(seen)) << seen;
}

TEST(LidarReading, RangesAtBothEnds) {
  LidarConstants lidar;
  lidar.min_range_m = 0.2;
  for (const double most : {6.0, 6.1, 6.2, 6.3, 11.9}) {
    lidar.max_range_m = most;
    LidarReading reading(lidar);
    EXPECT_EQ(reading.range_m(0.0), std::nullopt);
    EXPECT_EQ(reading.range_m(0.19), std::nullopt);
    EXPECT_EQ(reading.range_m(0.2), 0.2f);
    for (const double beyond : {most, most + 1.0, 1e300}) {
      const std::optional<float> kept = reading.range_m(beyond);
      ASSERT_TRUE(kept);
      EXPECT_GE(static_cast<double>(*kept), most);
      EXPECT_NEAR(*kept, most, 1e-6);
    }
  }
}

TEST(LidarReading, TheFirstTimeIsWhereTheClockRateTurns) {
  LidarConstants lidar;
  lidar.clock_rate = 1.0001;
  lidar.time_offset_s = 0.5;
  LidarReading reading(lidar);
  EXPECT_DOUBLE_EQ(reading.wheel_time_s(1000.0), 1000.5);
  EXPECT_DOUBLE_EQ(reading.wheel_time_s(2000.0), 2000.6);
}

}  // namespace
}  // namespace wainscot
