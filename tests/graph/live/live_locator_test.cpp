#include "graph/live/live_locator.hpp"

#include <cstddef>
#include <limits>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "graph/known/map_views.hpp"
#include "graph/mapping/mapper.hpp"
#include "tests/graph/known_scene.hpp"
#include "tests/graph/live/fed_drive.hpp"
#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

/// A house that was mapped, and the drive that it was mapped from.
struct LivedHouse {
  Drive drive = driven(ring_house()).drive;
  Map map = build_map(drive, {});
  std::vector<Drive> drives{drive};
  KnownMap known = known_map(map, drives, map_views(map, drives));
  LidarModel lidar = lidar_model(drive.robot.lidar);

  LiveLocator live() const { return {known, drive.robot, lidar}; }
};

std::vector<LocatedScan> fed(LiveLocator& live, const Drive& drive) {
  std::vector<LocatedScan> located = taken_while_fed(drive, live, live);
  for (LocatedScan& here : live.finish()) located.push_back(std::move(here));
  return located;
}

// The robot's program, whole: its answers are those of the recorded drive.
TEST(LiveLocator, AnswersAsTheRecordedDriveDoes) {
  const LivedHouse house;
  const std::vector<LocatedScan> recorded = locate_drive(house.known, house.drive, house.lidar);
  LiveLocator live = house.live();
  const std::vector<LocatedScan> located = fed(live, house.drive);
  ASSERT_EQ(located.size(), recorded.size());
  std::size_t found = 0;
  for (std::size_t i = 0; i < located.size(); ++i) {
    EXPECT_EQ(located[i].scan, recorded[i].scan);
    EXPECT_NEAR(located[i].time_s, recorded[i].time_s, 1e-9);
    ASSERT_EQ(located[i].location.answer, recorded[i].location.answer) << i;
    if (located[i].location.answer != Answer::found) continue;
    ++found;
    const PlaceInMap& live_place = located[i].location.places.front();
    const PlaceInMap& place = recorded[i].location.places.front();
    EXPECT_LT(apart_m(live_place.pose, place.pose), 1e-6) << i;
    EXPECT_LT(apart_rad(live_place.pose, place.pose), 1e-6) << i;
    EXPECT_LT((live_place.covariance - place.covariance).norm(), 1e-6 * place.covariance.norm()) << i;
  }
  EXPECT_GT(found, located.size() / 2);
}

// A scan is asked about when odometry has gone past it, not before: its beams were fired on the way.
TEST(LiveLocator, WaitsForTheWheels) {
  const LivedHouse house;
  LiveLocator live = house.live();
  EXPECT_TRUE(live.take().empty());
  const Scan& scan = house.drive.scans.front();
  std::size_t next = 0;
  for (; house.drive.wheels[next].time_s <= end_s(scan); ++next) live.add_counts(house.drive.wheels[next]);
  live.add_scan(scan);
  EXPECT_TRUE(live.take().empty());
  EXPECT_EQ(live.location().answer, Answer::lost);
  const double later_s = end_s(scan) + 0.025;
  while (house.drive.wheels[next - 1].time_s < later_s) live.add_counts(house.drive.wheels[next++]);
  const std::vector<LocatedScan> located = live.take();
  ASSERT_EQ(located.size(), 1U);
  EXPECT_EQ(located.front().scan, 0U);
  EXPECT_TRUE(live.take().empty());
}

TEST(LiveLocator, ScansThatTellNothingGetNoAnswer) {
  const LivedHouse house;
  LiveLocator live = house.live();
  Scan early = house.drive.scans.front();
  early.time_s = house.drive.wheels.front().time_s - 1.0;
  live.add_scan(early);
  Scan few = house.drive.scans[1];
  few.returns.resize(19);
  live.add_scan(few);
  live.add_scan(house.drive.scans[2]);
  for (std::size_t i = 0; house.drive.wheels[i].time_s < end_s(house.drive.scans[2]) + 1.0; ++i) {
    live.add_counts(house.drive.wheels[i]);
  }
  const std::vector<LocatedScan> located = live.take();
  ASSERT_EQ(located.size(), 1U);
  EXPECT_EQ(located.front().scan, 2U) << "the third that was added";
}

TEST(LiveLocator, WhatIsOutOfOrderIsRefusedAndNothingIsTaken) {
  const LivedHouse house;
  LiveLocator live = house.live();
  live.add_counts({1.0, 0, 0});
  EXPECT_THROW(live.add_counts({0.9, 10, 10}), InputError);
  EXPECT_THROW(live.add_counts({std::numeric_limits<double>::quiet_NaN(), 10, 10}), InputError);
  EXPECT_THROW(live.add_pose({2.0, {}}), InputError);
  live.add_counts({1.0, 0, 0});
  live.add_scan(house.drive.scans[5]);
  EXPECT_THROW(live.add_scan(house.drive.scans[4]), InputError);
  live.add_yaw_rate({1.0, 0.1});
  EXPECT_THROW(live.add_yaw_rate({0.5, 0.1}), InputError);
}

// A counter that begins anew in mid-drive: without a word the robot would have jumped by metres.
TEST(LiveLocator, ABreakIsNoMotion) {
  const LivedHouse house;
  Drive broken = house.drive;
  broken.breaks = {broken.wheels.size() / 2};
  for (std::size_t i = broken.breaks.front(); i < broken.wheels.size(); ++i) broken.wheels[i].left_ticks += 1'000'000;
  LiveLocator live = house.live();
  const std::vector<LocatedScan> located = fed(live, broken);
  ASSERT_FALSE(located.empty());
  EXPECT_EQ(located.back().location.answer, Answer::found);
}

}  // namespace
}  // namespace wainscot
