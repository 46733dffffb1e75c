#include "io/log/motion_breaks.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>
#include <vector>

namespace wainscot {
namespace {

/// A log of places along a line, ten rows a second.
LogView log_of(const std::vector<double>& places_m) {
  LogView log;
  log.size = places_m.size();
  log.time_s = [](std::size_t i) { return 0.1 * static_cast<double>(i); };
  log.step = [&places_m](std::size_t from, std::size_t to) {
    return LogStep{0.1 * static_cast<double>(to - from), std::abs(places_m[to] - places_m[from]), 0.0};
  };
  log.from_origin_m = [&places_m](std::size_t i) { return std::abs(places_m[i]); };
  return log;
}

/// At 0.3 m/s from the origin.
std::vector<double> steady(int rows) {
  std::vector<double> places_m;
  for (int i = 0; i < rows; ++i) places_m.push_back(0.03 * i);
  return places_m;
}

TEST(MotionBreaks, ASteadyDriveHasNone) {
  const std::vector<double> places_m = steady(100);
  const MotionBreaks breaks = find_breaks(log_of(places_m));
  EXPECT_TRUE(breaks.at.empty());
  EXPECT_TRUE(breaks.outliers.empty());
}

TEST(MotionBreaks, AJumpARestartAndASingleWrongRowAreToldApart) {
  std::vector<double> places_m = steady(100);
  places_m[20] += 50.0;
  for (std::size_t i = 40; i < 100; ++i) places_m[i] += 7.0;
  for (std::size_t i = 70; i < 100; ++i) places_m[i] = 0.03 * static_cast<double>(i - 70);
  MotionBreaks breaks = find_breaks(log_of(places_m));
  EXPECT_EQ(breaks.outliers, std::vector<std::size_t>{20});
  EXPECT_EQ(breaks.at, (std::vector<std::size_t>{40, 70}));
  remove_outliers(places_m, breaks);
  EXPECT_EQ(places_m.size(), 99U);
  EXPECT_EQ(places_m[20], 0.03 * 21);
  EXPECT_EQ(breaks.at, (std::vector<std::size_t>{39, 69}));
  EXPECT_EQ(places_m[69], 0.0);
}

TEST(MotionBreaks, WarningsNameTimesAndSumUpWhatIsMore) {
  const std::vector<double> places_m = steady(100);
  MotionBreaks breaks;
  breaks.at = {10, 20, 30, 40, 50, 60, 70};
  breaks.outliers = {5, 6};
  std::vector<std::string> warnings;
  warn_of_breaks(breaks, log_of(places_m), "wheels.csv", "the counters restarted or jumped", warnings);
  ASSERT_EQ(warnings.size(), 7U);
  EXPECT_EQ(warnings[0],
            "wheels.csv: the counters restarted or jumped between 0.900 and 1.000 s; the motion there is taken as "
            "unknown");
  EXPECT_EQ(warnings[5], "wheels.csv: and 2 more such breaks; check the units and the wiring");
  EXPECT_NE(warnings[6].find("2 single rows that no robot could have driven, left out; the first at 0.500 s"),
            std::string::npos);
}

}  // namespace
}  // namespace wainscot
