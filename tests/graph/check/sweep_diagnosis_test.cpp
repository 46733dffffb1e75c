#include "graph/check/sweep_diagnosis.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// A turn of 0.1 s, stated so.
TurnScans scans() {
  TurnScans turn;
  turn.turn_s = turn.stated_s = 0.1;
  return turn;
}

SweepFit sweep_of(double sweep_s, double better = 20.0) {
  SweepFit fit;
  fit.sweep_s = sweep_s;
  fit.sd_s = 0.002;
  fit.better = better;
  fit.pairs = 40;
  return fit;
}

TEST(SweepDiagnosis, WithoutTurnsNothingIsSaid) {
  const SweepDiagnosis found = sweep_diagnosis(SweepFit{}, scans(), {});
  EXPECT_TRUE(found.diagnosis.findings.empty());
  EXPECT_TRUE(found.diagnosis.constants.empty());
  EXPECT_EQ(found.diagnosis.notes.size(), 1U);
  EXPECT_FALSE(found.sweep_s.has_value());
}

TEST(SweepDiagnosis, NearTheStatedTimeIsAConstant) {
  const SweepDiagnosis found = sweep_diagnosis(sweep_of(0.104), scans(), {});
  EXPECT_TRUE(found.diagnosis.findings.empty());
  ASSERT_EQ(found.diagnosis.constants.size(), 1U);
  EXPECT_EQ(found.diagnosis.constants[0].name, "lidar.sweep_s");
  EXPECT_EQ(found.diagnosis.constants[0].found, 0.104);
  EXPECT_FALSE(found.sweep_s.has_value());
}

TEST(SweepDiagnosis, AnotherTimeIsMended) {
  const SweepDiagnosis found = sweep_diagnosis(sweep_of(0.2), scans(), {});
  ASSERT_EQ(found.diagnosis.findings.size(), 1U);
  EXPECT_EQ(found.diagnosis.findings[0].fault, Fault::sweep_time);
  EXPECT_EQ(found.diagnosis.findings[0].lines, std::vector<std::string>{"lidar.sweep_s: 0.2000"});
  EXPECT_EQ(found.diagnosis.mended.lidar.sweep_s, 0.2);
  EXPECT_EQ(found.sweep_s, 0.2);
}

TEST(SweepDiagnosis, AllBeamsAtOnceIsATimeOfZero) {
  const SweepDiagnosis found = sweep_diagnosis(sweep_of(0.003), scans(), {});
  EXPECT_EQ(found.diagnosis.mended.lidar.sweep_s, 0.0);
  EXPECT_EQ(found.sweep_s, 0.003);
}

TEST(SweepDiagnosis, ANegativeTimeIsTheOtherOrder) {
  const SweepDiagnosis found = sweep_diagnosis(sweep_of(-0.1), scans(), {});
  ASSERT_EQ(found.diagnosis.findings.size(), 1U);
  EXPECT_EQ(found.diagnosis.findings[0].fault, Fault::firing_order);
  EXPECT_TRUE(found.diagnosis.findings[0].lines.empty());
  EXPECT_FALSE(found.diagnosis.findings[0].act.empty());
  EXPECT_EQ(found.sweep_s, -0.1);
}

TEST(SweepDiagnosis, AFlatMisfitIsNoEvidence) {
  const SweepDiagnosis found = sweep_diagnosis(sweep_of(0.2, 2.0), scans(), {});
  EXPECT_TRUE(found.diagnosis.findings.empty());
  EXPECT_FALSE(found.sweep_s.has_value());
}

}  // namespace
}  // namespace wainscot
