// A small fixed part of the calibration bench, with bounds: about twice what is reached.

#include <gtest/gtest.h>

#include "tests/bench/calibration_score.hpp"

namespace wainscot::bench {
namespace {

// Sanitizers make everything ten times as slow, and a few robots show what they look for.
#ifdef WAINSCOT_UNDER_ASAN
constexpr int kRobots = 2;
constexpr int kDrives = 1;
#else
constexpr int kRobots = 25;
constexpr int kDrives = 4;
#endif

TEST(Calibration, OfSimulatedRunsIsBetterThanTheDataSheetAndSaysHowGoodItIs) {
  const RunsScore score = score_runs(1, kRobots);
  ASSERT_EQ(score.constants.size(), 4U);
  double held = 0.0;
  const double share = kRobots > 20 ? 0.6 : 1.0;  // two robots have no median to speak of
  for (const ConstantScore& constant : score.constants) {
    EXPECT_LT(constant.quantile(0.5), share * constant.before()) << constant.name;
    held += constant.coverage() / static_cast<double>(score.constants.size());
  }
  if (kRobots > 20) {
    EXPECT_GE(held, 0.88);
    EXPECT_GT(score.improvement(0.5), 10.0);  // Borenstein & Feng 1996: 10- to 22-fold
  }
}

TEST(Calibration, OfSimulatedDrivesFindsTheLidar) {
  const DrivesScore score = score_drives(1, kDrives, true);
  EXPECT_EQ(score.failures, 0);
  for (const ConstantScore& constant : score.constants) {
    if (constant.name == "lidar x_m") {
      EXPECT_LT(constant.quantile(0.9), 3.0);
    }
    if (constant.name == "lidar y_m") {
      EXPECT_LT(constant.quantile(0.9), 6.0);
    }
    if (constant.name == "lidar heading_deg") {
      EXPECT_LT(constant.quantile(0.9), 0.12);
    }
    if (constant.name == "track_width_m") {
      EXPECT_LT(constant.quantile(0.9), 10.0);
    }
    if (constant.name == "clock offset") {
      EXPECT_LT(constant.quantile(0.9), 10.0);
    }
  }
}

}  // namespace
}  // namespace wainscot::bench
