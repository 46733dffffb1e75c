#include "io/log/late_rows.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>
#include <vector>

namespace wainscot {
namespace {

struct Row {
  double time_s;
  double place_m;
};

LogView view_of(const std::vector<Row>& rows) {
  LogView log;
  log.size = rows.size();
  log.time_s = [&rows](std::size_t i) { return rows[i].time_s; };
  log.step = [&rows](std::size_t from, std::size_t to) {
    return LogStep{rows[to].time_s - rows[from].time_s, std::abs(rows[to].place_m - rows[from].place_m), 0.0};
  };
  log.from_origin_m = [&rows](std::size_t i) { return std::abs(rows[i].place_m); };
  return log;
}

/// Ten rows a second at 0.3 m/s for 40 s.
std::vector<Row> steady() {
  std::vector<Row> rows;
  for (int i = 0; i < 400; ++i) rows.push_back({0.1 * i, 0.03 * i});
  return rows;
}

/// Rows `first` to `last` come at the stamp of the last one, half a millisecond apart.
void hold_back(std::vector<Row>& rows, std::size_t first, std::size_t last) {
  const double end_s = rows[last].time_s;
  for (std::size_t i = first; i <= last; ++i) rows[i].time_s = end_s - 0.0005 * static_cast<double>(last - i);
}

TEST(LateRows, ABufferThatEmptiesIsSpreadOverThePause) {
  std::vector<Row> rows = steady();
  const std::vector<Row> truth = rows;
  hold_back(rows, 100, 130);
  hold_back(rows, 250, 270);
  const std::vector<LateBurst> bursts = find_late_bursts(view_of(rows));
  ASSERT_EQ(bursts.size(), 2U);
  EXPECT_EQ(bursts[0].first, 100U);
  EXPECT_EQ(bursts[0].last, 130U);
  mend_late_rows(bursts, rows);
  for (std::size_t i = 0; i < rows.size(); ++i) EXPECT_NEAR(rows[i].time_s, truth[i].time_s, 0.02) << i;
}

TEST(LateRows, WhereMostWereLostTheRobotDroveSteadily) {
  std::vector<Row> rows = steady();
  // What is left of three seconds: a row that waited, stamped 10 ms before the next one that was on time.
  rows.erase(rows.begin() + 101, rows.begin() + 130);
  rows[100].time_s = rows[101].time_s - 0.01;
  const std::vector<LateBurst> bursts = find_late_bursts(view_of(rows));
  ASSERT_EQ(bursts.size(), 1U);
  mend_late_rows(bursts, rows);
  EXPECT_NEAR(rows[100].time_s, 10.0, 0.1);
  EXPECT_DOUBLE_EQ(rows[101].time_s, 13.0);
}

TEST(LateRows, PausesAndJumpsOfOtherKindsStayAsTheyAre) {
  // A robot that stands for three seconds while nothing is logged.
  std::vector<Row> rows = steady();
  for (std::size_t i = 100; i < rows.size(); ++i) rows[i].time_s += 3.0;
  EXPECT_TRUE(find_late_bursts(view_of(rows)).empty());
  // A jump without a pause.
  rows = steady();
  for (std::size_t i = 200; i < rows.size(); ++i) rows[i].place_m += 0.6;
  EXPECT_TRUE(find_late_bursts(view_of(rows)).empty());
  // A pause, and behind it a jump much longer than could have been driven meanwhile.
  rows = steady();
  hold_back(rows, 100, 130);
  for (std::size_t i = 115; i < rows.size(); ++i) rows[i].place_m += 8.0;
  EXPECT_TRUE(find_late_bursts(view_of(rows)).empty());
  // A robot that stood before and after the pause was pushed.
  rows = steady();
  for (std::size_t i = 100; i < rows.size(); ++i) rows[i].place_m = rows[99].place_m + (i > 240 ? 0.6 : 0.0);
  rows.erase(rows.begin() + 211, rows.begin() + 239);
  rows[211].time_s = rows[212].time_s - 0.001;
  rows[210].time_s = rows[211].time_s - 2.8;
  EXPECT_TRUE(find_late_bursts(view_of(rows)).empty());
  EXPECT_TRUE(find_late_bursts(view_of({{0.0, 0.0}, {1.0, 0.1}})).empty());
}

TEST(LateRows, TimesGrowStrictlyThoughTheRobotStoodInBetween) {
  std::vector<Row> rows = steady();
  for (std::size_t i = 100; i < 115; ++i) rows[i].place_m = rows[100].place_m;
  hold_back(rows, 100, 130);
  rows.erase(rows.begin() + 104, rows.begin() + 128);
  const std::vector<LateBurst> bursts = find_late_bursts(view_of(rows));
  ASSERT_EQ(bursts.size(), 1U);
  mend_late_rows(bursts, rows);
  for (std::size_t i = 1; i < rows.size(); ++i) EXPECT_GT(rows[i].time_s, rows[i - 1].time_s) << i;
}

TEST(LateRows, AreNamedInOneLine) {
  std::vector<Row> rows = steady();
  hold_back(rows, 100, 130);
  hold_back(rows, 250, 270);
  const LogView log = view_of(rows);
  std::vector<std::string> warnings;
  warn_of_late_bursts({}, log, "wheels.csv", warnings);
  EXPECT_TRUE(warnings.empty());
  warn_of_late_bursts(find_late_bursts(log), log, "wheels.csv", warnings);
  ASSERT_EQ(warnings.size(), 1U);
  EXPECT_NE(warnings[0].find("wheels.csv: 2 pauses of up to 3.1 s, the first at 9.900 s"), std::string::npos)
      << warnings[0];
}

}  // namespace
}  // namespace wainscot
