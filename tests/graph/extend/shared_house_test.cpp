// Simulated: maps of a small home on two days, and of another one.

#include "graph/extend/shared_house.hpp"

#include <cmath>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "graph/known/map_views.hpp"
#include "tests/graph/two_days.hpp"

namespace wainscot {
namespace {

struct MappedHouse {
  explicit MappedHouse(const simulator::Plan& plan) : house(driven(plan)), map(build_map(house.drive, two_threads())) {}

  std::vector<MapView> views() const { return map_views(map, house.drive); }
  Pose2 truth_from_map() const {
    std::vector<TimedPose> path;
    for (const TrajectoryRow& row : map.trajectory) path.push_back({row.time_s, row.pose});
    return absolute_trajectory_error(path, house.truth.trajectory).alignment;
  }
  RangeNoise noise() const { return {house.drive.robot.lidar.noise_m, house.drive.robot.lidar.noise_per_m}; }

  DrivenHouse house;
  Map map;
};

LaidOn laid(double known_m, double strange_m, const MapFit& fit, const Pose2& pose = {}) {
  LaidOn result;
  result.first_second = pose;
  result.fit = fit;
  result.known_way_m = known_m;
  result.known_extent_m = 6.0;
  result.strange_way_m = strange_m;
  return result;
}

TEST(SharedHouse, TheSecondDayIsLaidOnTheFirst) {
  const MappedHouse first(first_day());
  const MappedHouse second(second_day());
  const std::vector<LaidOn> ways =
      ways_to_lay_on(known_map(first.map, first.house.drive, first.views()), second.views(), second.noise());
  EXPECT_EQ(doubt_of(ways), std::nullopt);
  const Pose2 error = between(inverse(first.truth_from_map()) * second.truth_from_map(), ways.front().first_second);
  EXPECT_LT(error.translation().norm(), 0.03);
  EXPECT_LT(std::abs(wrap_angle(error.heading_rad)), 0.005);
  EXPECT_EQ(ways.front().known.size(), second.map.graph.nodes.size());
  EXPECT_GT(ways.front().known_way_m, 15.0);
  EXPECT_GT(ways.front().fit.explained(), 0.8);
}

TEST(SharedHouse, AnotherHouseIsNotTheSame) {
  const MappedHouse first(first_day());
  const MappedHouse other(other_house());
  const std::vector<LaidOn> ways =
      ways_to_lay_on(known_map(first.map, first.house.drive, first.views()), other.views(), other.noise());
  EXPECT_NE(doubt_of(ways), std::nullopt);
}

TEST(SharedHouse, NothingAlikeLeavesDoubt) {
  ASSERT_TRUE(doubt_of({}));
  EXPECT_NE(doubt_of({})->find("no place of it looks like one of the map"), std::string::npos);
}

TEST(SharedHouse, MovedFurnitureLeavesNoDoubt) { EXPECT_FALSE(doubt_of({laid(20.0, 4.0, {80.0, 15.0, 100.0})})); }

TEST(SharedHouse, ALittleWayOrOneRoomIsNotEnough) {
  EXPECT_TRUE(doubt_of({laid(7.0, 0.0, {98.0, 1.0, 100.0})}));
  LaidOn room = laid(20.0, 0.0, {98.0, 1.0, 100.0});
  room.known_extent_m = 2.5;
  EXPECT_TRUE(doubt_of({room}));
}

TEST(SharedHouse, MuchThatContradictsLeavesDoubt) {
  const auto doubt = doubt_of({laid(21.7, 43.2, {38.0, 27.0, 100.0})});
  ASSERT_TRUE(doubt);
  EXPECT_NE(doubt->find("contradicts 43.2 m"), std::string::npos) << *doubt;
}

TEST(SharedHouse, ARivalLeavesDoubtUnlessItFitsMuchWorse) {
  const LaidOn best = laid(30.0, 0.0, {97.0, 2.0, 100.0});
  const auto doubt = doubt_of({best, laid(25.0, 0.0, {96.0, 4.0, 100.0}, {3.0, 4.0, 0.0})});
  ASSERT_TRUE(doubt);
  EXPECT_NE(doubt->find("two ways, 5.0 m and 0 degrees apart"), std::string::npos) << *doubt;
  EXPECT_FALSE(doubt_of({best, laid(25.0, 0.0, {85.0, 10.0, 100.0}, {3.0, 4.0, 0.0})}));
  EXPECT_FALSE(doubt_of({best, laid(10.0, 0.0, {96.0, 4.0, 100.0}, {3.0, 4.0, 0.0})}));
}

}  // namespace
}  // namespace wainscot
