#include "graph/motion/scan_noise.hpp"

#include <cmath>
#include <random>

#include <gtest/gtest.h>

#include "tests/graph/scene.hpp"

namespace wainscot {
namespace {

/// Scans of the crooked room, twice as large, from places all over it, with the noise of ranges given.
std::vector<Scan> noisy_scans(double near_m, double per_m, double step_m = 0.0) {
  std::mt19937 random(7);
  std::normal_distribution<double> normal;
  Scene room = crooked_room();
  for (auto& [a, b] : room) {
    a *= 2.0;
    b *= 2.0;
  }
  std::vector<Scan> scans;
  for (int i = 0; i < 60; ++i) {
    scans.push_back(scan_at(room, {-2.0 + 0.07 * i, -1.0 + 0.03 * i, 0.1 * i}, i));
    for (Return& r : scans.back().returns) {
      const auto range = static_cast<double>(r.range_m);
      double noisy = range + (near_m + per_m * range) * normal(random);
      if (step_m > 0.0) noisy = step_m * std::round(noisy / step_m);
      r.range_m = static_cast<float>(noisy);
    }
  }
  return scans;
}

TEST(ScanNoise, IsFoundWhereverTheWallsStand) {
  const std::vector<NoiseAtRange> found = noise_by_scans(noisy_scans(0.01, 0.005), still_lidar());
  ASSERT_GE(found.size(), 2U);
  for (const NoiseAtRange& n : found) EXPECT_NEAR(n.sd_m / (0.01 + 0.005 * n.range_m), 1.0, 0.2) << n.range_m;
}

TEST(ScanNoise, IsNoLessThanWhatTheStepsOfTheRangesMake) {
  for (const NoiseAtRange& n : noise_by_scans(noisy_scans(0.0, 0.0, 0.05), still_lidar())) {
    EXPECT_GE(n.sd_m, 0.99 * 0.05 / std::sqrt(12.0));
    EXPECT_LT(n.sd_m, 2.5 * 0.05 / std::sqrt(12.0));
  }
}

TEST(ScanNoise, WithinAFactorOfThreeTheStatedOneIsBelieved) {
  const std::vector<NoiseAtRange> found = noise_by_scans(noisy_scans(0.01, 0.0), still_lidar());
  EXPECT_FALSE(believable_noise({0.01, 0.0}, found));
  EXPECT_FALSE(believable_noise({0.024, 0.0}, found));
  EXPECT_FALSE(believable_noise({0.0042, 0.0}, found));
}

TEST(ScanNoise, BeyondThatWhatLiesBetweenIsUsed) {
  const std::vector<NoiseAtRange> found = noise_by_scans(noisy_scans(0.01, 0.0), still_lidar());
  const auto less = believable_noise({0.09, 0.0}, found);
  ASSERT_TRUE(less);
  EXPECT_NEAR(less->at(3.0), 0.03, 0.004);
  // What walls that are not flat add is never taken off.
  const auto more = believable_noise({0.001, 0.0}, noise_by_scans(noisy_scans(0.03, 0.0), still_lidar()));
  ASSERT_TRUE(more);
  EXPECT_NEAR(more->at(3.0), std::sqrt(0.03 * 0.004), 0.002);
}

TEST(ScanNoise, TooFewReturnsTellNothing) {
  EXPECT_TRUE(noise_by_scans({}, still_lidar()).empty());
  EXPECT_TRUE(noise_by_scans({scan_at(crooked_room(), {})}, still_lidar()).size() <= 1);
  EXPECT_FALSE(believable_noise({0.5, 0.0}, {}));
}

TEST(ScanNoise, TheDriveSaysWhatIsUsedAndWhatToWrite) {
  Drive drive;
  drive.robot.lidar = still_lidar();
  drive.robot.lidar.noise_m = 0.2;
  drive.scans = noisy_scans(0.01, 0.0);
  const Drive found = with_believable_noise(drive);
  EXPECT_LT(found.robot.lidar.noise_m, 0.07);
  ASSERT_EQ(found.warnings.size(), 1U);
  EXPECT_NE(found.warnings[0].find("200 mm + 0.0 mm a metre as stated"), std::string::npos) << found.warnings[0];
}

}  // namespace
}  // namespace wainscot
