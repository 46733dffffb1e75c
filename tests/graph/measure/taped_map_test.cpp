#include "graph/measure/taped_map.hpp"

#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "graph/measure/placed_returns.hpp"
#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

/// Wheels that are stated 1 % too large, in the ring house, with the uncertainty of a robot that nobody calibrated.
DrivenHouse stretched_house() {
  simulator::Plan plan = ring_house(1);
  plan.defects.left_m_per_tick_error_rel = simulator::Knob::fixed(0.01);
  plan.defects.right_m_per_tick_error_rel = simulator::Knob::fixed(0.01);
  DrivenHouse house = driven(plan);
  house.drive.robot.motion_noise = {};
  return house;
}

double scale_of(const Map& map, const simulator::Truth& truth) {
  std::vector<TimedPose> path;
  for (const TrajectoryRow& row : map.trajectory) path.push_back({row.time_s, row.pose});
  return absolute_trajectory_error(path, truth.trajectory, Alignment::with_scale).scale;
}

/// Across both rooms below the middle wall of ring_house(), beside the door between them.
std::vector<LaidTape> true_tapes(const Map& map, const simulator::Truth& truth) {
  std::vector<TimedPose> path;
  for (const TrajectoryRow& row : map.trajectory) path.push_back({row.time_s, row.pose});
  const Pose2 map_from_truth = inverse(absolute_trajectory_error(path, truth.trajectory).alignment);
  const auto at = [&](double x_m, double y_m) { return map_from_truth * Eigen::Vector2d(x_m, y_m); };
  return {{"left room", {at(0.03, 2.2), at(3.12, 2.2)}, 3.15, 0.002},
          {"right room", {at(3.28, 2.2), at(6.97, 2.2)}, 3.75, 0.002}};
}

MapperOptions one_thread() {
  MapperOptions options;
  options.threads = 1;
  return options;
}

TEST(TapedMap, TapesHoldTheScaleAndMakeItSurer) {
  const DrivenHouse house = stretched_house();
  const Map without = taped_map(house.drive, one_thread(), {});
  EXPECT_TRUE(without.tapes.empty());
  const Map with = taped_map(house.drive, one_thread(), true_tapes(without, house.truth));
  ASSERT_EQ(with.tapes.size(), 2U);
  for (const MappedTape& tape : with.tapes) EXPECT_EQ(tape.left_out, "") << tape.name;
  EXPECT_LT(std::abs(scale_of(with, house.truth) - 1.0), 0.5 * std::abs(scale_of(without, house.truth) - 1.0));
  EXPECT_LT(with.quality.scale_sd, 0.5 * without.quality.scale_sd);
  EXPECT_LT(std::abs(scale_of(with, house.truth) - 1.0), 3.0 * with.quality.scale_sd);
  EXPECT_NE(with.quality.scale_set_by.find("tapes"), std::string::npos) << with.quality.scale_set_by;
  // The walls are as far apart as the tape says.
  const MeasurableMap measurable(with, placed_returns(with, house.drive));
  const TapeAnswer answer = measure_tape(measurable, {with.tapes[1].from_m, with.tapes[1].to_m});
  ASSERT_TRUE(answer.measure);
  EXPECT_NEAR(answer.measure->distance_m, 3.75, 0.004);
}

TEST(TapedMap, WithoutTapesItIsTheSameMap) {
  const DrivenHouse house = stretched_house();
  const Map plain = build_map(house.drive, one_thread());
  const Map taped = taped_map(house.drive, one_thread(), {});
  ASSERT_EQ(taped.trajectory.size(), plain.trajectory.size());
  EXPECT_EQ(taped.trajectory.back().pose.x_m, plain.trajectory.back().pose.x_m);
  EXPECT_EQ(taped.quality.scale_sd, plain.quality.scale_sd);
  EXPECT_FALSE(taped.scale_remedies.empty());  // a scale known to a per cent
}

TEST(TapedMap, WhatIsPromisedComesTrue) {
  const DrivenHouse house = stretched_house();
  const Map without = taped_map(house.drive, one_thread(), {});
  for (const ScaleRemedy& remedy : without.scale_remedies) {
    if (remedy.kind != ScaleRemedy::Kind::tapes || remedy.count != 1) continue;
    // The tape that is asked for, as the map has it: it changes nothing but how sure the scale is.
    const auto& [from_m, to_m] = remedy.between_m.front();
    const MeasurableMap measurable(without, placed_returns(without, house.drive));
    const TapeAnswer as_it_is = measure_tape(measurable, {from_m, to_m});
    ASSERT_TRUE(as_it_is.measure);
    const Map with =
        taped_map(house.drive, one_thread(), {{"asked", {from_m, to_m}, as_it_is.measure->distance_m, remedy.sd_m}});
    EXPECT_NEAR(with.quality.scale_sd / remedy.scale_sd, 1.0, 0.1);
    EXPECT_NEAR(scale_of(with, house.truth) / scale_of(without, house.truth), 1.0, 2e-4);
    return;
  }
  FAIL() << "no tape is asked for";
}

TEST(TapedMap, TapesInTheFrameThatWasAskedFor) {
  const DrivenHouse house = stretched_house();
  MapperOptions turned = one_thread();
  turned.frame.first_pose = Pose2{100.0, -50.0, 1.0};
  const Map without = taped_map(house.drive, turned, {});
  const Map with = taped_map(house.drive, turned, true_tapes(without, house.truth));
  for (const MappedTape& tape : with.tapes) EXPECT_EQ(tape.left_out, "") << tape.name;
}

}  // namespace
}  // namespace wainscot
