#include "io/convert/wall_angles.hpp"

#include <numbers>

#include <gtest/gtest.h>

#include "tests/io/convert/made_room_log.hpp"

namespace wainscot {
namespace {

constexpr double kDegreeOfWall = std::numbers::pi / 180.0;

std::vector<std::vector<double>> ranges_of(const MadeRoom& room) {
  std::vector<std::vector<double>> turns;
  for (const MadeTurn& turn : room.turns) turns.push_back(turn.ranges_m);
  return turns;
}

TEST(WallAngles, FindsTheStepOfARoom) {
  EXPECT_NEAR(angle_by_walls(ranges_of(MadeRoom(10.0))).step_rad / kDegreeOfWall, 2.0, 0.06);
  EXPECT_NEAR(angle_by_walls(ranges_of(MadeRoom(10.0, 240.0, 481))).step_rad / kDegreeOfWall, 0.5, 0.015);
  EXPECT_NEAR(angle_by_walls(ranges_of(MadeRoom(10.0, 180.0, 181))).step_rad / kDegreeOfWall, 1.0, 0.03);
}

TEST(WallAngles, SaysNothingOfNothing) {
  EXPECT_EQ(angle_by_walls({}).step_rad, 0.0);
  EXPECT_EQ(angle_by_walls({std::vector<double>(360, 0.0)}).step_rad, 0.0);
}

}  // namespace
}  // namespace wainscot
