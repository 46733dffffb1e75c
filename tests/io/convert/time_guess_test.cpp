#include "io/convert/time_guess.hpp"

#include <gtest/gtest.h>

#include "tests/io/convert/made_room_log.hpp"

namespace wainscot {
namespace {

RecordKind kind_with(std::vector<double> first, std::vector<double> second) {
  RecordKind kind;
  kind.records = first.size();
  kind.columns = {made_column("1", std::move(first)), made_column("2", std::move(second))};
  return kind;
}

std::vector<double> steps_of(double begin, double step, int count = 100) {
  std::vector<double> values;
  for (int i = 0; i < count; ++i) values.push_back(begin + step * i);
  return values;
}

TEST(TimeGuess, TheUnitFitsTheRate) {
  for (const auto& [step, unit] :
       {std::pair(0.02, "s"), std::pair(20.0, "ms"), std::pair(20000.0, "us"), std::pair(2e7, "ns")}) {
    const auto times = guess_times(kind_with(steps_of(77.0, step), std::vector<double>(100, 3.0)), 1.0, 500.0, 50.0);
    ASSERT_EQ(times.size(), 1U) << unit;
    EXPECT_EQ(times[0].unit, unit);
    EXPECT_NEAR(times[0].rows_per_s, 50.0, 1e-6);
    EXPECT_TRUE(times[0].sure);
  }
}

TEST(TimeGuess, SecondsSince1970TellTheirUnit) {
  // 1.5 rows a second or 1500: both may be, but the year is 2025 in one of them.
  const auto times = guess_times(kind_with(steps_of(1.75e12, 667.0), std::vector<double>(100, 1.0)), 1.0, 2000.0, 50.0);
  ASSERT_FALSE(times.empty());
  EXPECT_EQ(times[0].unit, "ms");
  EXPECT_TRUE(times[0].sure);
}

TEST(TimeGuess, TwoUnitsThatFitAreNamed) {
  const auto times = guess_times(kind_with(steps_of(0.0, 1.0), std::vector<double>(100, 1.0)), 0.5, 2000.0, 50.0);
  ASSERT_FALSE(times.empty());
  EXPECT_FALSE(times[0].sure);
  EXPECT_EQ(times[0].other_units.size(), 1U);
}

TEST(TimeGuess, ARegularColumnComesBeforeACounterThatOnlyGrows) {
  std::vector<double> counts;
  double sum = 0.0;
  for (int i = 0; i < 100; ++i) counts.push_back(sum += 5.0 + 40.0 * (i % 7) * (i % 3));
  const auto times = guess_times(kind_with(counts, steps_of(3.0, 20.0)), 1.0, 500.0, 50.0);
  ASSERT_FALSE(times.empty());
  EXPECT_EQ(times[0].column, 1U);
}

TEST(TimeGuess, RowNumbersComeLast) {
  const auto times = guess_times(kind_with(steps_of(1.0, 1.0), steps_of(9.0, 0.9)), 0.1, 2000.0, 50.0);
  ASSERT_EQ(times.size(), 2U);
  EXPECT_EQ(times[0].column, 1U);
  EXPECT_FALSE(times[0].counts_rows);
  EXPECT_TRUE(times[1].counts_rows);
}

TEST(TimeGuess, LoneDamagedNumbersDoNotSpoilIt) {
  std::vector<double> ticks = steps_of(150000.0, 20.0, 1000);
  ticks[300] = 15.0;
  ticks[600] = 9999999.0;
  EXPECT_EQ(guess_times(kind_with(ticks, std::vector<double>(1000, 3.0)), 1.0, 500.0, 50.0).size(), 1U);
}

TEST(TimeGuess, ATimeOfDayIsInSeconds) {
  RecordKind kind = kind_with(steps_of(50000.0, 1.0), std::vector<double>(100, 1.0));
  kind.columns[0].is_clock = true;
  const auto times = guess_times(kind, 0.5, 2000.0, 50.0);
  ASSERT_EQ(times.size(), 1U);
  EXPECT_EQ(times[0].unit, "s");
  EXPECT_TRUE(times[0].sure);
}

TEST(TimeGuess, ABoardThatRestartsHasATimeToo) {
  std::vector<double> ticks = steps_of(1500.0, 20.0, 1000);
  for (const double t : steps_of(300.0, 20.0, 1000)) ticks.push_back(t);
  const RecordKind kind = kind_with(ticks, std::vector<double>(2000, 3.0));
  const auto times = guess_times(kind, 1.0, 500.0, 50.0);
  ASSERT_EQ(times.size(), 1U);
  const std::vector<double> seconds = times_s(kind, times[0]);
  EXPECT_NEAR(seconds[1000] - seconds[999], 0.0, 1e-9);
  EXPECT_NEAR(seconds.back() - seconds[1000], 19.98, 1e-9);
}

TEST(TimeGuess, AClockOf32BitsGoesOn) {
  std::vector<double> ticks = steps_of(4294967296.0 - 50.0, 20.0, 3);
  for (const double t : steps_of(-50.0 + 60.0, 20.0, 3)) ticks.push_back(t);
  TimeGuess guess;
  guess.unit_s = 1e-3;
  const std::vector<double> times = times_s(kind_with(ticks, ticks), guess);
  EXPECT_NEAR(times.back() - times.front(), 0.1, 1e-6);
}

}  // namespace
}  // namespace wainscot
