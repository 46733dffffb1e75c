#include "graph/check/sign_diagnosis.hpp"

#include <gtest/gtest.h>

#include "tests/graph/made_log.hpp"

namespace wainscot {
namespace {

RobotFit sure_fit() {
  RobotFit fit;
  fit.left_m_per_tick = fit.right_m_per_tick = 1e-4;
  fit.scale_covariance = 1e-6 * Eigen::Matrix3d::Identity();
  fit.strides = 100;
  return fit;
}

Explanation with_faults(double faults) {
  Explanation e;
  e.faults = faults;
  return e;
}

Diagnosis judged(const std::vector<Explanation>& all, const Drive& drive = made_log({}).drive,
                 std::optional<bool> gyro_agrees = {}) {
  return sign_diagnosis(all, sure_fit(), gyro_agrees, drive);
}

TEST(SignDiagnosis, ASoundRobotHasNone) {
  EXPECT_TRUE(judged({with_faults(0.0), with_faults(1.0)}).findings.empty());
  EXPECT_TRUE(judged({with_faults(0.0)}, made_log({}).drive, true).findings.empty());
}

TEST(SignDiagnosis, AMirroredLidarIsMended) {
  Explanation mirrored = with_faults(1.0);
  mirrored.mirrored = true;
  const Diagnosis found = judged({mirrored, with_faults(3.0)});
  ASSERT_EQ(found.findings.size(), 1U);
  EXPECT_EQ(found.findings[0].fault, Fault::mirrored);
  EXPECT_EQ(found.findings[0].lines, std::vector<std::string>{"lidar.mirrored: true"});
  EXPECT_TRUE(found.mended.lidar.mirrored);
  EXPECT_GT(found.findings[0].confidence, 0.99);
  EXPECT_FALSE(found.findings[0].or_else.has_value());
}

TEST(SignDiagnosis, OfTwoThatCannotBeToldApartBothAreNamed) {
  Explanation mirrored = with_faults(1.0);
  mirrored.mirrored = true;
  Explanation swapped = with_faults(1.0);
  swapped.swapped = true;
  const Diagnosis found = judged({mirrored, swapped});
  ASSERT_EQ(found.findings.size(), 1U);
  EXPECT_EQ(found.findings[0].or_else, Fault::swapped);
  EXPECT_EQ(found.findings[0].confidence, 0.5);
  EXPECT_NE(found.findings[0].act.find("the wheels' columns are exchanged"), std::string::npos);
  const Diagnosis first = judged({swapped, mirrored});
  ASSERT_EQ(first.findings.size(), 1U);
  EXPECT_EQ(first.findings[0].fault, Fault::swapped);
  EXPECT_EQ(first.findings[0].confidence, 0.5);
  EXPECT_TRUE(first.findings[0].lines.empty());
}

TEST(SignDiagnosis, CountersThatRunBackwardsGetTheOtherSign) {
  Explanation left = with_faults(1.0);
  left.left_backwards = true;
  const Diagnosis one = judged({left});
  ASSERT_EQ(one.findings.size(), 1U);
  EXPECT_EQ(one.findings[0].fault, Fault::left_backwards);
  EXPECT_EQ(one.mended.drive->left_m_per_tick, -1e-4);
  EXPECT_EQ(one.mended.drive->right_m_per_tick, 1e-4);
  Explanation both = left;
  both.right_backwards = true;
  const Diagnosis two = judged({both});
  EXPECT_EQ(two.findings[0].fault, Fault::both_backwards);
  EXPECT_EQ(two.findings[0].lines.size(), 2U);
}

TEST(SignDiagnosis, OdometryHasNoLineThatMendsIt) {
  Drive drive;
  drive.odometry = {{0.0, {}}, {1.0, {}}};
  Explanation both = with_faults(1.0);
  both.left_backwards = both.right_backwards = true;
  const Diagnosis found = judged({both}, drive);
  ASSERT_EQ(found.findings.size(), 1U);
  EXPECT_TRUE(found.findings[0].lines.empty());
  EXPECT_NE(found.findings[0].act.find("odometry.csv"), std::string::npos);
}

TEST(SignDiagnosis, AGyroAgainstWheelsAndLidar) {
  const Diagnosis found = judged({with_faults(0.0)}, made_log({}).drive, false);
  ASSERT_EQ(found.findings.size(), 1U);
  EXPECT_EQ(found.findings[0].fault, Fault::gyro_sign);
  EXPECT_EQ(found.mended.gyro.sign, -1);
}

}  // namespace
}  // namespace wainscot
