#include "graph/motion/wheel_series.hpp"

#include <cstddef>

#include <unistd.h>

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

// Rows of one time, and breaks at the first ones: nothing lies before the first time.
TEST(WheelSeries, KnowsItAsLookingAtEachBreakWould) {
  Drive drive;
  drive.wheels = {{1.0, 0, 0}, {1.0, 1, 0}, {2.0, 2, 0}, {2.0, 3, 1}, {3.0, 4, 1}, {5.0, 5, 1}, {6.0, 6, 1}};
  for (unsigned chosen = 0; chosen < 64; ++chosen) {
    drive.breaks.clear();
    for (std::size_t sample = 1; sample < drive.wheels.size(); ++sample) {
      if ((chosen >> (sample - 1) & 1U) != 0) drive.breaks.push_back(sample);
    }
    const WheelSeries series(drive);
    for (double from_s = 0.75; from_s <= 6.25; from_s += 0.25) {
      for (double to_s = from_s; to_s <= 6.25; to_s += 0.25) {
        bool expected = from_s < 1.0 || to_s > 6.0;
        for (const std::size_t sample : drive.breaks) {
          const double end_s = drive.wheels[sample].time_s;
          double begin_s = end_s;
          for (const WheelCounts& row : drive.wheels) {
            if (row.time_s < end_s) begin_s = row.time_s;
          }
          expected = expected || (begin_s < end_s && begin_s < to_s && end_s > from_s);
        }
        EXPECT_EQ(series.is_unknown(from_s, to_s), expected) << chosen << ": " << from_s << " to " << to_s;
      }
    }
  }
}

// Each was held against each: 90 billion times.
TEST(WheelSeries, ManyBreaksAreNotAllLookedAt) {
  Drive drive;
  for (int i = 0; i <= 600000; ++i) drive.wheels.push_back({0.5 * i, i, i});
  for (std::size_t i = 2; i < drive.wheels.size(); i += 2) drive.breaks.push_back(i);
  const WheelSeries series(drive);
  int unknown = 0;
  ::alarm(60);  // should it hang
  for (int i = 0; i < 300000; ++i) unknown += series.is_unknown(i + 0.125, i + 0.25 + 0.5 * (i % 2)) ? 1 : 0;
  ::alarm(0);
  EXPECT_EQ(unknown, 150000);
}

TEST(WheelSeries, OnwardSaysTheSameAndPassesEachRowOnce) {
  const WheelSeries series(three_rows());
  WheelSeries::Onward onward(series, 0.0);
  int asked = 0;
  for (double time_s = 0.0; time_s <= 5.0; time_s += 0.25, ++asked) {
    const CountPair counts = onward.at(time_s);
    EXPECT_EQ(counts.left, series.at(time_s).left);
    EXPECT_EQ(counts.right, series.at(time_s).right);
  }
  EXPECT_EQ(onward.looked_at(), static_cast<std::size_t>(asked + 3));
  EXPECT_EQ(WheelSeries::Onward(series, 3.0).at(3.0).left, series.at(3.0).left);
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
