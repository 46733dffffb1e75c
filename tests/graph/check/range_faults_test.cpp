#include "graph/check/range_faults.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "tests/graph/made_log.hpp"

namespace wainscot {
namespace {

/// Walls at 1 to 5 m that change from scan to scan, in metres; `unit`: how many of the log's units a metre has.
std::vector<Scan> logged_scans(double per_metre = 1.0) {
  std::vector<Scan> scans;
  for (int i = 0; i < 300; ++i) {
    Scan scan{1.0 + 0.19 * i, {}};
    for (int b = 0; b < 180; ++b) {
      const double range_m = 3.0 + 2.0 * std::sin(0.1 * b + 0.37 * i) * std::cos(0.05 * i);
      const double angle = (2.0 * b - 179.0) * std::numbers::pi / 180.0;
      scan.returns.push_back({static_cast<float>(angle), static_cast<float>(per_metre * range_m), 0.0F});
    }
    scans.push_back(scan);
  }
  return scans;
}

struct Result {
  Robot robot;
  std::vector<Finding> findings;
};

Result result_of(const std::vector<Scan>& logged, const LidarConstants& lidar = {}) {
  Drive drive = made_log({}).drive;
  drive.robot.lidar = lidar;
  Result result{drive.robot, {}};
  result.findings = range_findings(logged, drive, result.robot);
  return result;
}

TEST(RangeFaults, SoundScansHaveNone) { EXPECT_TRUE(result_of(logged_scans()).findings.empty()); }

TEST(RangeFaults, MillimetresAndCentimetres) {
  for (const double per_metre : {1000.0, 100.0}) {
    const Result result = result_of(logged_scans(per_metre));
    ASSERT_EQ(result.findings.size(), 1U);
    EXPECT_EQ(result.findings[0].fault, Fault::range_unit);
    EXPECT_DOUBLE_EQ(result.robot.lidar.range_unit_m, 1.0 / per_metre);
  }
  LidarConstants millimetres;
  millimetres.range_unit_m = 0.001;
  EXPECT_TRUE(result_of(logged_scans(1000.0), millimetres).findings.empty());
  EXPECT_EQ(result_of(logged_scans(1.0), millimetres).robot.lidar.range_unit_m, 1.0);
}

// 50 m were taken for centimetres in a recording of a hall.
TEST(RangeFaults, AHallIsNoHomeInCentimetres) {
  std::vector<Scan> logged = logged_scans();
  for (Scan& scan : logged) {
    for (Return& beam : scan.returns) beam.range_m *= 11.0F;
  }
  LidarConstants far;
  far.max_range_m = 80.0;
  EXPECT_TRUE(result_of(logged, far).findings.empty());
}

TEST(RangeFaults, NoReturnAsTheLargestRange) {
  std::vector<Scan> logged = logged_scans();
  for (std::size_t i = 0; i < logged.size(); ++i) {
    for (std::size_t b = 0; b < 10; ++b) logged[i].returns[(7 * i + b) % 180].range_m = 6.0F;
  }
  const Result result = result_of(logged);
  ASSERT_EQ(result.findings.size(), 1U);
  EXPECT_EQ(result.findings[0].fault, Fault::largest_range);
  EXPECT_DOUBLE_EQ(result.robot.lidar.max_range_m, 6.0);
  LidarConstants right;
  right.max_range_m = 6.0;
  EXPECT_TRUE(result_of(logged, right).findings.empty());
}

TEST(RangeFaults, TheRobotsOwnBody) {
  std::vector<Scan> logged = logged_scans();
  for (std::size_t i = 0; i < logged.size(); ++i) {
    for (Return& beam : logged[i].returns) {
      // 172 to -170 degrees, across the seam.
      const double deg = static_cast<double>(beam.angle_rad) * 180.0 / std::numbers::pi;
      if (deg > 172.0 || deg < -170.0) beam.range_m = i % 2 == 0 ? 0.2F : 0.21F;
    }
  }
  const Result result = result_of(logged);
  ASSERT_EQ(result.findings.size(), 1U);
  EXPECT_EQ(result.findings[0].fault, Fault::body_in_view);
  ASSERT_EQ(result.robot.lidar.blind_deg.size(), 1U);
  EXPECT_NEAR(result.robot.lidar.blind_deg[0].from_deg, 172.0, 2.5);
  EXPECT_NEAR(result.robot.lidar.blind_deg[0].to_deg, -170.0, 2.5);
  EXPECT_TRUE(result_of(logged, result.robot.lidar).findings.empty());
}

TEST(RangeFaults, ReadAsLeavesOutWhatRobotYamlLeavesOut) {
  LidarConstants lidar;
  lidar.range_unit_m = 0.001;
  lidar.min_range_m = 0.5;
  lidar.blind_deg = {{80.0, 100.0}};
  std::vector<Scan> logged(1);
  logged[0].returns = {{0.0F, 400.0F, 0.0F}, {0.1F, 900.0F, 0.0F}, {1.57F, 900.0F, 0.0F}};
  const std::vector<Scan> scans = read_as(logged, lidar);
  ASSERT_EQ(scans[0].returns.size(), 1U);
  EXPECT_FLOAT_EQ(scans[0].returns[0].range_m, 0.9F);
}

}  // namespace
}  // namespace wainscot
