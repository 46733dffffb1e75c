#include "graph/motion/wheel_series.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

Drive three_rows() {
  Drive drive;
  drive.wheels = {{1.0, 100, -50}, {2.0, 200, -50}, {4.0, 600, 350}};
  return drive;
}

TEST(WheelSeries, CountsBetweenSamplesInProportion) {
  const WheelSeries series(three_rows());
  EXPECT_DOUBLE_EQ(series.at(1.5).left, 150.0);
  EXPECT_DOUBLE_EQ(series.at(3.0).right, 150.0);
  EXPECT_DOUBLE_EQ(series.at(0.0).left, 100.0);
  EXPECT_DOUBLE_EQ(series.change(1.5, 3.0).left, 250.0);
}

TEST(WheelSeries, ChangesAreCutAtTheSamplesAndSumUp) {
  const std::vector<CountPair> changes = WheelSeries(three_rows()).changes(1.5, 3.0);
  ASSERT_EQ(changes.size(), 2U);
  EXPECT_DOUBLE_EQ(changes[0].left, 50.0);
  EXPECT_DOUBLE_EQ(changes[1].left, 200.0);
}

TEST(WheelSeries, KnowsWhereNothingIsKnown) {
  Drive drive = three_rows();
  drive.breaks = {2};
  const WheelSeries series(drive);
  EXPECT_FALSE(series.is_unknown(1.2, 1.9));
  EXPECT_TRUE(series.is_unknown(1.5, 2.5));
  EXPECT_TRUE(series.is_unknown(0.5, 1.5));
}

TEST(WheelSeries, MakesWheelsOfPoses) {
  Drive drive;
  drive.odometry = {{0.0, {}}, {1.0, exp(Tangent2(0.5, 0.0, 0.2))}};
  const WheelSeries series(drive);
  const CountPair change = series.change(0.0, 1.0);
  EXPECT_NEAR(0.5 * (change.left + change.right), 0.5, 1e-9);
  EXPECT_NEAR((change.right - change.left) / 0.3, 0.2, 1e-9);
}

}  // namespace
}  // namespace wainscot
