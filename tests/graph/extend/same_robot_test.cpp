#include "graph/extend/same_robot.hpp"

#include <cmath>
#include <functional>
#include <string>

#include <gtest/gtest.h>

#include "core/errors.hpp"

namespace wainscot {
namespace {

Drive drive_of(const std::string& name) {
  Drive drive;
  drive.name = name;
  drive.robot.drive = DriveConstants{};
  drive.robot.drive->left_m_per_tick = drive.robot.drive->right_m_per_tick = 1e-3;
  drive.robot.drive->track_width_m = 0.3;
  drive.wheels = {{0.0, 0, 0}, {1.0, 100, 100}};
  return drive;
}

/// A drive that tells a constant to 0.001 by itself.
Map map_that_found(const std::string& key, double found) {
  Map map;
  map.constants = {{key, "m", 0.3, 1.0, found, 0.001, true}};
  return map;
}

bool has(const std::string& text, const char* words) { return text.find(words) != std::string::npos; }

std::vector<std::string> told(const std::function<void(Drive&)>& change, const Map& of_first = {},
                              const Map& of_other = {}) {
  Drive other = drive_of("tuesday");
  change(other);
  return require_same_robot(drive_of("monday"), of_first, other, of_other);
}

TEST(SameRobot, NothingIsToldOfWhatTheUncertaintiesAllow) {
  EXPECT_TRUE(told([](Drive& /*same*/) {}).empty());
  EXPECT_TRUE(told([](Drive& d) { d.robot.drive->left_m_per_tick *= 1.02; }).empty());  // 1 % each, nothing being said
  EXPECT_TRUE(told([](Drive& d) { d.robot.lidar.time_offset_s = 0.2; }).empty());       // of the day
  EXPECT_TRUE(told([](Drive& d) { d.robot.lidar.max_range_m = 8.0; }).empty());
}

TEST(SameRobot, OneThatWasCalibratedInBetweenIsOne) {
  const auto calibrated = [](Drive& d) { d.robot.drive->track_width_m = 0.4; };
  const auto warnings =
      told(calibrated, map_that_found("drive.track_width_m", 0.388), map_that_found("drive.track_width_m", 0.402));
  ASSERT_EQ(warnings.size(), 1U);
  for (const char* words : {"tuesday", "drive.track_width_m", "0.4,", "0.3 ", "0.388", "0.402"}) {
    EXPECT_TRUE(has(warnings[0], words)) << words << " in " << warnings[0];
  }
}

TEST(SameRobot, TwoRobotsAreRefused) {
  const auto wider = [](Drive& d) { d.robot.drive->track_width_m = 0.4; };
  try {
    told(wider, map_that_found("drive.track_width_m", 0.301), map_that_found("drive.track_width_m", 0.397));
    FAIL() << "nothing was refused";
  } catch (const InputError& error) {
    EXPECT_TRUE(has(error.what(), "tuesday") && has(error.what(), "drive.track_width_m")) << error.what();
  }
  const auto turned = [](Drive& d) { d.robot.lidar.heading_deg = 90.0; };
  EXPECT_THROW(told(turned, map_that_found("lidar.heading_deg", 0.2), map_that_found("lidar.heading_deg", 89.5)),
               InputError);
}

TEST(SameRobot, ACounterThatRunsTheOtherWayIsAnotherRobots) {
  const auto backwards = [](Drive& d) { d.robot.drive->left_m_per_tick *= -1.0; };
  Map forwards = map_that_found("drive.left_m_per_tick", 1.001e-3);
  Map turned = map_that_found("drive.left_m_per_tick", -0.999e-3);
  for (Map* map : {&forwards, &turned}) map->constants[0].found_sd = 1e-5;
  EXPECT_THROW(told(backwards, forwards, turned), InputError);
  EXPECT_EQ(told(backwards, forwards, forwards).size(), 1U);  // a slip in one of the files
}

TEST(SameRobot, WhereTheDrivesDoNotTellTheFirstOnesWordCounts) {
  const auto moved = [](Drive& d) { d.robot.lidar.x_m = 0.2; };
  Map drove_straight = map_that_found("lidar.x_m", 0.2);
  drove_straight.constants[0].stated = 0.2;
  drove_straight.constants[0].stated_sd = 0.0101;
  drove_straight.constants[0].found_sd = 0.01;
  const auto warnings = told(moved, map_that_found("lidar.x_m", 0.0), drove_straight);
  ASSERT_EQ(warnings.size(), 1U);
  EXPECT_TRUE(has(warnings[0], "do not tell")) << warnings[0];
}

TEST(SameRobot, WhatWasStatedBeforeDoesNotCountAsShown) {
  // Both believe their tape measures to a per mille; half of what each drive found is that belief.
  const auto calibrated = [](Drive& d) { d.robot.drive->track_width_m = 0.4; };
  Map first = map_that_found("drive.track_width_m", 0.35);
  first.constants[0].stated = 0.3;
  Map other = map_that_found("drive.track_width_m", 0.4);
  other.constants[0].stated = 0.4;
  for (Map* map : {&first, &other}) {
    map->constants[0].stated_sd = 0.002;
    map->constants[0].found_sd = 0.002 / std::sqrt(2.0);
  }
  const auto warnings = told(calibrated, first, other);
  ASSERT_EQ(warnings.size(), 1U);
  EXPECT_TRUE(has(warnings[0], "(0.4 and 0.4)")) << warnings[0];
}

TEST(SameRobot, CountsAndOdometryAreNotMixed) {
  Drive odometry = drive_of("tuesday");
  odometry.wheels.clear();
  odometry.odometry = {{0.0, {}}, {1.0, {}}};
  EXPECT_NO_THROW(require_same_form(drive_of("monday"), drive_of("tuesday")));
  EXPECT_THROW(require_same_form(drive_of("monday"), odometry), InputError);
}

}  // namespace
}  // namespace wainscot
