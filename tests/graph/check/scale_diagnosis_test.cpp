#include "graph/check/scale_diagnosis.hpp"

#include <cmath>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "tests/graph/made_log.hpp"

namespace wainscot {
namespace {

RobotFit fit_of(double left, double right) {
  RobotFit fit;
  fit.left_m_per_tick = left;
  fit.right_m_per_tick = right;
  fit.track_width_m = 0.31;
  fit.scale_covariance.diagonal() << 1e-6, 4e-6, 9e-6;
  return fit;
}

Explanation scaled(ScaleFault scale) {
  Explanation best;
  best.scale = scale;
  best.scale_chi_squared = 100.0;
  best.left_m_per_tick = 1.1e-4;
  best.right_m_per_tick = 1.2e-4;
  best.track_width_m = 0.31;
  return best;
}

Diagnosis judged(ScaleFault scale, const Drive& drive = made_log({}).drive) {
  return scale_diagnosis(scaled(scale), fit_of(1.1e-4, 1.2e-4), drive);
}

std::vector<Fault> faults_of(const Diagnosis& diagnosis) {
  std::vector<Fault> faults;
  for (const Finding& finding : diagnosis.findings) faults.push_back(finding.fault);
  return faults;
}

TEST(ScaleDiagnosis, ConstantsAreToldWithTheSignsOfTheFile) {
  Drive drive = made_log({}).drive;
  drive.robot.drive->right_m_per_tick = -1e-4;
  const Diagnosis found = judged(ScaleFault::none, drive);
  EXPECT_TRUE(found.findings.empty());
  ASSERT_EQ(found.constants.size(), 3U);
  EXPECT_EQ(found.constants[0].found, 1.1e-4);
  EXPECT_NEAR(found.constants[0].found_sd, 1.1e-7, 1e-12);
  EXPECT_EQ(found.constants[1].found, -1.2e-4);
  EXPECT_EQ(found.constants[2].found, 0.31);
  Explanation swapped = scaled(ScaleFault::none);
  swapped.swapped = true;
  EXPECT_EQ(scale_diagnosis(swapped, fit_of(1.1e-4, 1.2e-4), drive).constants[0].found, 1.2e-4);
}

TEST(ScaleDiagnosis, EachFactorHasItsFindings) {
  using F = Fault;
  using S = ScaleFault;
  EXPECT_EQ(faults_of(judged(S::left)), std::vector<F>{F::left_tick});
  EXPECT_EQ(faults_of(judged(S::right)), std::vector<F>{F::right_tick});
  EXPECT_EQ(faults_of(judged(S::ticks)), std::vector<F>{F::both_ticks});
  EXPECT_EQ(faults_of(judged(S::width)), std::vector<F>{F::track_width});
  EXPECT_EQ(faults_of(judged(S::left_and_width)), (std::vector<F>{F::left_tick, F::track_width}));
  EXPECT_EQ(faults_of(judged(S::right_and_width)), (std::vector<F>{F::right_tick, F::track_width}));
  EXPECT_EQ(faults_of(judged(S::ticks_and_width)), (std::vector<F>{F::both_ticks, F::track_width}));
  EXPECT_EQ(faults_of(judged(S::all)), (std::vector<F>{F::left_tick, F::right_tick, F::track_width}));
}

TEST(ScaleDiagnosis, OnlyWhatIsAtFaultIsMended) {
  const Diagnosis found = judged(ScaleFault::left);
  EXPECT_EQ(found.mended.drive->left_m_per_tick, 1.1e-4);
  EXPECT_EQ(found.mended.drive->right_m_per_tick, 1e-4);
  EXPECT_EQ(found.findings[0].figure, "it is 1.1000 of what robot.yaml says");
}

// By hand: half a per cent of the lidar's metre and 0.1 % (left), 0.2 % (right), 0.3 % (width) of the fit.
TEST(ScaleDiagnosis, WhatIsMendedIsNoSurerThanItWasFound) {
  Drive drive = made_log({}).drive;
  drive.robot.drive->left_sd_m_per_tick = drive.robot.drive->right_sd_m_per_tick = 1e-7;
  const Diagnosis both = judged(ScaleFault::ticks, drive);
  EXPECT_NEAR(*both.mended.drive->left_sd_m_per_tick, 1.1e-4 * std::hypot(0.005, 0.001), 1e-12);
  EXPECT_NEAR(*both.mended.drive->right_sd_m_per_tick, 1.2e-4 * std::hypot(0.005, 0.002), 1e-12);
  EXPECT_FALSE(both.mended.drive->track_width_sd_m);
  EXPECT_EQ(both.findings[0].lines,
            (std::vector<std::string>{"drive.left_m_per_tick: 0.00011", "drive.right_m_per_tick: 0.00012",
                                      "drive.left_sd_m_per_tick: 5.6e-07", "drive.right_sd_m_per_tick: 6.5e-07"}));
  const Diagnosis left = judged(ScaleFault::left, drive);
  EXPECT_EQ(*left.mended.drive->right_sd_m_per_tick, 1e-7);
  EXPECT_EQ(left.findings[0].lines.size(), 2U);
  EXPECT_EQ(judged(ScaleFault::width, drive).findings[0].lines, std::vector<std::string>{"drive.track_width_m: 0.31"});
}

TEST(ScaleDiagnosis, AFactorOfRangesIsAUnitOrAScale) {
  const auto ranges = [](double factor) {
    Explanation best = scaled(ScaleFault::ranges);
    best.range_factor = factor;
    return scale_diagnosis(best, fit_of(1e-4, 1e-4), made_log({}).drive);
  };
  EXPECT_EQ(faults_of(ranges(0.0101)), std::vector<Fault>{Fault::range_unit});
  EXPECT_NEAR(ranges(0.0101).mended.lidar.range_unit_m, 0.01, 1e-15);
  EXPECT_EQ(faults_of(ranges(1.2)), std::vector<Fault>{Fault::range_scale});
  EXPECT_EQ(ranges(1.2).mended.lidar.range_scale, 1.2);
}

TEST(ScaleDiagnosis, OdometryIsMendedWhereItIsMade) {
  Drive drive;
  drive.odometry = {{0.0, {}}, {1.0, {}}};
  const Diagnosis both = judged(ScaleFault::ticks_and_width, drive);
  EXPECT_EQ(faults_of(both), (std::vector<Fault>{Fault::both_ticks, Fault::track_width}));
  for (const Finding& finding : both.findings) {
    EXPECT_TRUE(finding.lines.empty());
    EXPECT_NE(finding.act.find("odometry.csv"), std::string::npos);
  }
  EXPECT_TRUE(both.constants.empty());
  EXPECT_EQ(faults_of(judged(ScaleFault::width, drive)), std::vector<Fault>{Fault::track_width});
}

}  // namespace
}  // namespace wainscot
