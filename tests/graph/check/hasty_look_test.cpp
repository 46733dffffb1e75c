#include "graph/check/hasty_look.hpp"

#include <cstddef>

#include <gtest/gtest.h>

#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

Drive sound_drive() {
  simulator::Plan plan = ring_house(1);
  plan.defects.range_noise_m = simulator::Knob::fixed(0.01);
  return driven(plan).drive;
}

TEST(HastyLook, ASoundDriveLooksSoundOnAnyNumberOfThreads) {
  const Drive drive = sound_drive();
  EXPECT_TRUE(holds_returns(drive));
  EXPECT_TRUE(looks_sound(drive, 1));
  EXPECT_TRUE(looks_sound(drive, 3));
}

TEST(HastyLook, WhatIsFarOffDoesNot) {
  const Drive sound = sound_drive();
  Drive drive = sound;
  for (WheelCounts& row : drive.wheels) row.left_ticks = -row.left_ticks;
  EXPECT_FALSE(looks_sound(drive, 1));
  drive = sound;
  for (Scan& scan : drive.scans) {
    for (Return& beam : scan.returns) beam.angle_rad = -beam.angle_rad;
  }
  EXPECT_FALSE(looks_sound(drive, 1));
  drive = sound;
  for (Scan& scan : drive.scans) scan.time_s += 0.4;
  EXPECT_FALSE(looks_sound(drive, 1));
  drive = sound;
  drive.robot.lidar.heading_deg += 10.0;
  EXPECT_FALSE(looks_sound(drive, 1));
  drive = sound;
  drive.robot.drive->track_width_m *= 1.4;
  EXPECT_FALSE(looks_sound(drive, 1));
  drive = sound;
  drive.breaks = {100, 200, 300};
  EXPECT_FALSE(looks_sound(drive, 1));
  drive = sound;
  for (Scan& scan : drive.scans) {
    for (Return& beam : scan.returns) beam.range_m = 8.0F;
  }
  EXPECT_FALSE(holds_returns(drive));
  EXPECT_FALSE(looks_sound(drive, 1));
}

TEST(HastyLook, ADriveThatTellsTooLittleLooksSound) {
  Drive drive = sound_drive();
  drive.scans.resize(5);
  EXPECT_TRUE(looks_sound(drive, 1));
  drive.wheels.clear();
  EXPECT_TRUE(looks_sound(drive, 1));
}

}  // namespace
}  // namespace wainscot
