#include "io/convert/lidar_track.hpp"

#include <gtest/gtest.h>

#include "io/convert/range_guess.hpp"
#include "tests/io/convert/made_room_log.hpp"

namespace wainscot {
namespace {

TEST(LidarTrack, FollowsTheRobot) {
  const MadeRoom room(20.0);
  const LogSample sample = made_sample({made_scan_kind(room)});
  const LidarTrack track = track_lidar(sampled_scans(sample, guess_ranges(sample).at(0), 1000));
  EXPECT_GT(track.sure, 0.9);
  EXPECT_TRUE(track.tells());
  double turned = 0.0;
  for (const LidarStride& step : track.motion.steps) turned += step.motion.heading_rad;
  const std::size_t begin = 10, end = room.poses.size() - 12;  // the first and the last scan's middle, nearly
  double true_turn = 0.0;
  for (std::size_t i = begin; i < end; ++i) true_turn += 0.02 * room.gyro[i].yaw_rate_rad_s;
  EXPECT_NEAR(turned, true_turn, 0.2);
}

TEST(LidarTrack, SaysNothingOfTooFewScans) {
  const LidarTrack track = track_lidar({});
  EXPECT_FALSE(track.tells());
  EXPECT_EQ(track.sure, 0.0);
}

}  // namespace
}  // namespace wainscot
