#include "graph/calibrate/combined_calibration.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

Witness tape(double left, double right, double width, double relative_sd) {
  Witness witness;
  witness.name = "tape";
  for (const auto& [c, value] : {std::pair(kLeftPerTick, left), {kRightPerTick, right}, {kTrackWidth, width}}) {
    witness.value[c] = value;
    witness.covariance(c, c) = std::pow(relative_sd * value, 2);
    witness.knows[static_cast<std::size_t>(c)] = true;
  }
  return witness;
}

Witness drive(double left, double right, double width, double relative_sd) {
  Witness witness = tape(left, right, width, relative_sd);
  witness.name = "drive";
  witness.metre_sd = 0.005;
  witness.value[kLidarX] = 0.04;
  witness.covariance(kLidarX, kLidarX) = 1e-6;
  witness.knows[kLidarX] = true;
  return witness;
}

TEST(CombinedCalibration, TwoTapesGiveTheMeanByTheirWeights) {
  const CombinedCalibration both = combine({tape(1e-4, 1e-4, 0.3, 0.001), tape(1.001e-4, 1e-4, 0.3, 0.001)});
  EXPECT_NEAR(both.all.found[kLeftPerTick], 1.0005e-4, 1e-9);
  EXPECT_NEAR(both.all.sd(kRightPerTick), 1e-7 / std::sqrt(2.0), 1e-9);
  EXPECT_TRUE(both.contradictions.empty());
  EXPECT_FALSE(both.all.observed[kLidarX]);
}

// A drive whose lidar measures 0.4 % long: the tape sets the size, the drive the ratio of the wheels.
TEST(CombinedCalibration, ATapeSetsTheMetreAndTheDriveTheRatio) {
  Witness by_tape = tape(1e-4, 1e-4, 0.3, 0.0005);
  by_tape.covariance(kTrackWidth, kTrackWidth) = 0.01;  // it knows next to nothing of it
  const Witness by_drive = drive(1.004e-4, 1.004e-4 * 1.0003, 0.3012, 0.0001);
  const CombinedCalibration both = combine({by_tape, by_drive});
  EXPECT_TRUE(both.contradictions.empty());
  EXPECT_NEAR(both.lidar_metre, 1.004, 0.0005);
  EXPECT_NEAR(both.all.found[kLeftPerTick], 1e-4, 0.3e-7);
  EXPECT_NEAR(both.all.found[kRightPerTick] / both.all.found[kLeftPerTick], 1.0003, 5e-5);
  EXPECT_NEAR(both.all.found[kTrackWidth], 0.3, 0.0003);
  EXPECT_LT(both.all.sd(kTrackWidth), 0.0004);
  EXPECT_LT(both.all.sd(kLeftPerTick), 0.5e-7);
  EXPECT_TRUE(both.all.observed[kLidarX]);
  EXPECT_NEAR(both.all.found[kLidarX], 0.04, 1e-9);
}

TEST(CombinedCalibration, TwoDrivesOfOneLidarShareItsMetre) {
  const CombinedCalibration both = combine({drive(1e-4, 1e-4, 0.3, 0.0002), drive(1e-4, 1e-4, 0.3, 0.0002)});
  EXPECT_NEAR(both.all.sd(kLeftPerTick), 0.005e-4, 0.0001e-4);  // no drive more makes that better
  EXPECT_NEAR(both.lidar_metre, 1.0, 1e-9);
}

TEST(CombinedCalibration, WhatIsKnownBetterStays) {
  const Witness by_tape = tape(1e-4, 1e-4, 0.3, 0.0003);
  const CombinedCalibration both = combine({drive(1.003e-4, 1.003e-4, 0.3009, 0.001), by_tape});
  EXPECT_NEAR(both.all.found[kLeftPerTick], 1e-4, 0.3e-7);
  EXPECT_LE(both.all.sd(kLeftPerTick), by_tape.covariance(kLeftPerTick, kLeftPerTick) > 0.0 ? 0.3001e-7 : 0.0);
}

TEST(CombinedCalibration, ContradictionsAreToldAndWidenTheResult) {
  const CombinedCalibration both = combine({tape(1e-4, 1e-4, 0.3, 0.001), drive(1e-4, 1e-4, 0.33, 0.001)});
  ASSERT_FALSE(both.contradictions.empty());
  bool width = false;
  for (const Contradiction& c : both.contradictions) width = width || c.constant == kTrackWidth;
  EXPECT_TRUE(width);
  EXPECT_GT(both.all.sd(kTrackWidth), 0.003);
}

// One tape read long makes both wheels too large: a drive that knows their ratio tells nothing more of their size.
TEST(CombinedCalibration, WhatOneTapeHasInBothWheelsIsNotTwoWords) {
  Witness by_tape = tape(1e-4, 1e-4, 0.3, 0.001);
  by_tape.covariance(kTrackWidth, kTrackWidth) = 0.01;  // else that would be a word of its own
  const CombinedCalibration as_if_two = combine({by_tape, drive(1e-4, 1e-4, 0.3, 0.0001)});
  by_tape.covariance(kLeftPerTick, kRightPerTick) = by_tape.covariance(kRightPerTick, kLeftPerTick) = 0.99e-14;
  const CombinedCalibration both = combine({by_tape, drive(1e-4, 1e-4, 0.3, 0.0001)});
  EXPECT_GT(both.all.sd(kLeftPerTick), 0.93e-7);
  EXPECT_LT(as_if_two.all.sd(kLeftPerTick), 0.72e-7);
}

// JCGM 100:2008, G.4.1 and table G.2: t is 2.26 for 9 degrees, 1.96 for very many.
TEST(CombinedCalibration, IntervalsAreAsWideAsTheUncertaintiesAreUncertain) {
  Witness few = drive(1e-4, 1e-4, 0.3, 0.001);
  few.degrees.setConstant(9.0);
  const CombinedCalibration both = combine({few, tape(1e-4, 1e-4, 0.3, 0.00001)});
  EXPECT_NEAR(both.half_width(kLidarX) / both.all.sd(kLidarX), 2.262, 0.001);
  EXPECT_NEAR(both.half_width(kLeftPerTick) / both.all.sd(kLeftPerTick), 1.960, 0.001);
  EXPECT_NEAR(combine({few, few}).degrees[kLidarX], 18.0, 0.01);
}

// By hand: of eleven degrees in three shared constants a sampled covariance weighs 7 / 11 of what its inverse says,
// beside a tape as sure as it; what nobody else knows stays.
TEST(CombinedCalibration, ASampledCovarianceWeighsLessThanItsInverse) {
  Witness sampled = tape(1e-4, 1e-4, 0.3, 0.001);
  sampled.covariance(kLidarX, kLidarX) = 1e-6;
  sampled.knows[kLidarX] = true;
  sampled.degrees.setConstant(11.0);
  sampled.by_blocks = true;
  const CombinedCalibration both = combine({tape(1e-4, 1e-4, 0.3, 0.001), sampled});
  EXPECT_NEAR(both.all.sd(kLeftPerTick), 1e-7 / std::sqrt(1.0 + 7.0 / 11.0), 1e-12);
  EXPECT_NEAR(both.all.sd(kLidarX), 1e-3, 1e-9);
  EXPECT_NEAR(combine({sampled}).all.sd(kLeftPerTick), 1e-7, 1e-12);
}

TEST(CombinedCalibration, AContradictionOfTwoIsToldOnce) {
  const CombinedCalibration two = combine({tape(1e-4, 1e-4, 0.3, 0.001), drive(1e-4, 1e-4, 0.33, 0.001)});
  ASSERT_EQ(two.contradictions.size(), 1U);
  EXPECT_EQ(two.contradictions[0].witness, "tape");
  EXPECT_EQ(two.contradictions[0].others, "drive");
  EXPECT_NEAR(two.contradictions[0].says, 0.3, 1e-12);
  EXPECT_NEAR(two.contradictions[0].others_say, 0.33, 1e-12);
  const CombinedCalibration three =
      combine({tape(1e-4, 1e-4, 0.3, 0.001), tape(1e-4, 1e-4, 0.3, 0.001), tape(1e-4, 1e-4, 0.33, 0.001)});
  EXPECT_GE(three.contradictions.size(), 1U);
  for (const Contradiction& c : three.contradictions) EXPECT_EQ(c.others, "");
}

TEST(CombinedCalibration, AMetreIsToldWhereNothingContradicts) {
  EXPECT_TRUE(combine({tape(1e-4, 1e-4, 0.3, 0.0003), drive(1.006e-4, 1.006e-4, 0.3018, 0.0003)}).tells_metre());
  EXPECT_FALSE(combine({tape(1e-4, 1e-4, 0.3, 0.0003), drive(1.0002e-4, 1.0002e-4, 0.3, 0.0003)}).tells_metre());
  EXPECT_FALSE(combine({tape(1e-4, 1e-4, 0.3, 0.0003), drive(1.014e-4, 1.014e-4, 0.3042, 0.0003)}).tells_metre())
      << "too much for a lidar, and no contradiction yet";
  EXPECT_FALSE(combine({tape(1e-4, 1e-4, 0.3, 0.0003), drive(1.03e-4, 1.03e-4, 0.309, 0.0003)}).tells_metre())
      << "six times what a lidar's metre is off: rather a slip with the tape";
}

TEST(CombinedCalibration, WheelsATenthApartAreOfTwoRobots) {
  const Witness one = tape(1e-4, 1e-4, 0.3, 0.001);
  EXPECT_FALSE(different_robots({one, drive(1.05e-4, 0.95e-4, 0.4, 0.001)}));
  const auto two = different_robots({one, drive(1.0e-4, 1.2e-4, 0.3, 0.001)});
  ASSERT_TRUE(two);
  EXPECT_EQ(two->first, "tape");
  EXPECT_EQ(two->second, "drive");
  EXPECT_TRUE(different_robots({one, one, drive(-1.0e-4, 1.0e-4, 0.3, 0.001)}));
}

TEST(CombinedCalibration, RobotYamlSaysWhatItStatesWithUncertainties) {
  Robot robot;
  robot.drive = DriveConstants{};
  robot.drive->left_m_per_tick = 1e-4;
  EXPECT_FALSE(witness_of(robot).knows[kLeftPerTick]);
  robot.drive->left_sd_m_per_tick = 1e-7;
  const Witness witness = witness_of(robot);
  EXPECT_TRUE(witness.knows[kLeftPerTick]);
  EXPECT_FALSE(witness.knows[kTrackWidth]);
  EXPECT_DOUBLE_EQ(witness.covariance(kLeftPerTick, kLeftPerTick), 1e-14);
}

}  // namespace
}  // namespace wainscot
