#include "graph/usable_scans.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

Scan scan_of(double time_s, int returns) {
  Scan scan;
  scan.time_s = time_s;
  for (int i = 0; i < returns; ++i)
    scan.returns.push_back({0.01F * static_cast<float>(i), 1.0F, 0.005F * static_cast<float>(i)});
  return scan;
}

TEST(UsableScans, ThoseInsideOdometryWithEnoughReturns) {
  OdometryStep step;
  step.begin_s = 1.0;
  step.end_s = 3.0;
  Drive drive;
  drive.scans = {scan_of(0.9, 30), scan_of(1.0, 30), scan_of(1.5, 19), scan_of(2.0, 20), scan_of(2.9, 30)};
  const UsableScans usable = usable_scans(drive, {step});
  EXPECT_EQ(usable.scans, (std::vector<std::size_t>{1, 3}));
  EXPECT_EQ(usable.outside_odometry, 2);  // the last one ends after odometry does
  EXPECT_EQ(usable.without_enough_returns, 1);
}

}  // namespace
}  // namespace wainscot
