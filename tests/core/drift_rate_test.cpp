#include "core/drift_rate.hpp"

#include <cmath>
#include <numbers>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// Straight pieces and turns to both sides; the estimate measures wrong by the given rates.
std::vector<PosePair> drive(const DriftRate& rate, bool turns, bool goes) {
  std::vector<PosePair> pairs;
  PosePair now;
  for (int i = 0; i < 600; ++i) {
    pairs.push_back(now);
    const bool turning = turns && i % 60 >= 40;
    const double way = turning || !goes ? 0.0 : 0.05;
    const double turn = turning ? (i % 180 < 120 ? 0.08 : -0.08) : 0.0;
    now.time_s += 0.1;
    now.truth = now.truth * exp({way, 0.0, turn});
    now.estimate = now.estimate * exp({way * (1.0 + rate.way_m_per_m), 0.0,
                                       turn * (1.0 + rate.heading_rad_per_rad) + way * rate.heading_rad_per_m});
  }
  return pairs;
}

TEST(DriftRate, FindsWhatWasPutIn) {
  const DriftRate put{0, 0.004, -0.002, 0.013};
  const DriftRate found = drift_rate(drive(put, true, true));
  EXPECT_GT(found.stretches, 30u);
  EXPECT_NEAR(found.way_m_per_m, put.way_m_per_m, 1e-9);
  EXPECT_NEAR(found.heading_rad_per_m, put.heading_rad_per_m, 1e-9);
  EXPECT_NEAR(found.heading_rad_per_rad, put.heading_rad_per_rad, 1e-9);
}

TEST(DriftRate, SaysNothingOfWhatTheDriveDoesNotTell) {
  const DriftRate put{0, 0.004, -0.002, 0.013};
  const DriftRate straight = drift_rate(drive(put, false, true));
  EXPECT_NEAR(straight.way_m_per_m, 0.004, 1e-9);
  EXPECT_NEAR(straight.heading_rad_per_m, -0.002, 1e-9);
  EXPECT_EQ(straight.heading_rad_per_rad, 0.0);
  const DriftRate turning = drift_rate(drive(put, true, false));
  EXPECT_EQ(turning.way_m_per_m, 0.0);
  EXPECT_EQ(turning.heading_rad_per_m, 0.0);
  EXPECT_NEAR(turning.heading_rad_per_rad, 0.013, 1e-9);
  EXPECT_EQ(drift_rate({}).stretches, 0u);
}

}  // namespace
}  // namespace wainscot
