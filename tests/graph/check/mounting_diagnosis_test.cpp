#include "graph/check/mounting_diagnosis.hpp"

#include <numbers>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

RobotFit fit_of_mounting() {
  RobotFit fit;
  fit.mounting_covariance.diagonal() << 0.004 * 0.004, 0.005 * 0.005, 0.01 * 0.01;
  return fit;
}

Robot robot_of(double heading_deg) {
  Robot robot;
  robot.lidar.x_m = 0.1;
  robot.lidar.heading_deg = heading_deg;
  return robot;
}

TEST(MountingDiagnosis, WhatIsNearIsTold) {
  Explanation best;
  best.mounting = {0.11, 0.01, 0.02};
  best.turned_rad = 0.02;
  const Diagnosis found = mounting_diagnosis(best, fit_of_mounting(), robot_of(0.0));
  EXPECT_TRUE(found.findings.empty());
  ASSERT_EQ(found.constants.size(), 3U);
  EXPECT_EQ(found.constants[0].name, "lidar.x_m");
  EXPECT_EQ(found.constants[0].stated, 0.1);
  EXPECT_EQ(found.constants[0].found, 0.11);
  EXPECT_NEAR(found.constants[1].found_sd, 0.005, 1e-12);
  EXPECT_NEAR(found.constants[2].found, 0.02 * 180.0 / std::numbers::pi, 1e-9);
  EXPECT_EQ(found.mended.lidar.x_m, 0.1);
}

TEST(MountingDiagnosis, TheHeadingIsToldOnTheStatedOnesSideOfTheSeam) {
  Explanation best;
  best.mounting = {0.1, 0.0, -std::numbers::pi + 0.01};
  best.turned_rad = 0.01;
  EXPECT_GT(mounting_diagnosis(best, fit_of_mounting(), robot_of(180.0)).constants[2].found, 180.0);
}

TEST(MountingDiagnosis, TurnedAndDisplacedAreMended) {
  Explanation best;
  best.mounting = {0.3, -0.1, 0.5 * std::numbers::pi};
  best.turned = best.displaced = true;
  best.turned_rad = 0.5 * std::numbers::pi;
  best.turned_sd_rad = 0.03;
  best.displaced_m = 0.22;
  best.displaced_chi_squared = 100.0;
  const Diagnosis found = mounting_diagnosis(best, fit_of_mounting(), robot_of(0.0));
  ASSERT_EQ(found.findings.size(), 2U);
  EXPECT_EQ(found.findings[0].fault, Fault::lidar_turned);
  EXPECT_EQ(found.findings[0].lines, std::vector<std::string>{"lidar.heading_deg: 90.0"});
  EXPECT_EQ(found.findings[1].fault, Fault::lidar_displaced);
  EXPECT_EQ(found.findings[1].lines, (std::vector<std::string>{"lidar.x_m: 0.300", "lidar.y_m: -0.100"}));
  EXPECT_NEAR(found.mended.lidar.heading_deg, 90.0, 1e-9);
  EXPECT_EQ(found.constants[0].stated, 0.1) << "as it was before";
}

}  // namespace
}  // namespace wainscot
