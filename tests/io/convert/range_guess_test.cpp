#include "io/convert/range_guess.hpp"

#include <gtest/gtest.h>

#include "tests/io/convert/made_room_log.hpp"

namespace wainscot {
namespace {

TEST(RangeGuess, FindsTheArrayOfRangesAmongOthers) {
  const MadeRoom room(15.0);
  RecordKind kind = made_scan_kind(room);
  SampleArray strengths = kind.arrays[0];
  strengths.name = "strength";
  for (std::size_t i = 0; i < strengths.rows.size(); ++i) {
    for (std::size_t b = 0; b < strengths.rows[i].size(); ++b) {
      strengths.rows[i][b] = static_cast<double>(20 + (b * 7919 + i * 104729) % 200);
    }
  }
  kind.arrays.insert(kind.arrays.begin(), strengths);
  const std::vector<RangeGuess> guesses = guess_ranges(made_sample({kind}));
  ASSERT_FALSE(guesses.empty());
  EXPECT_EQ(guesses[0].array, 1U);
  EXPECT_EQ(guesses[0].values.unit, "mm");
  EXPECT_EQ(guesses[0].time.unit, "ms");
}

TEST(RangeGuess, ScansOfTheArray) {
  const MadeRoom room(15.0);
  const LogSample sample = made_sample({made_scan_kind(room)});
  const std::vector<RangeGuess> guesses = guess_ranges(sample);
  ASSERT_EQ(guesses.size(), 1U);
  const std::vector<Scan> scans = sampled_scans(sample, guesses[0], 30);
  ASSERT_EQ(scans.size(), 30U);
  ASSERT_EQ(scans[3].returns.size(), room.turns[3].ranges_m.size());
  EXPECT_NEAR(scans[3].returns[10].range_m, room.turns[3].ranges_m[10], 1e-3);
  EXPECT_NEAR(scans[3].returns[10].angle_rad, 20.0 * std::numbers::pi / 180.0, 1e-6);
  EXPECT_NEAR(scans[4].time_s - scans[3].time_s, MadeRoom::kTurnS, 2e-3);
}

TEST(RangeGuess, AnAngleForEachRange) {
  const MadeRoom room(15.0);
  RecordKind kind = made_scan_kind(room);
  SampleArray angles;
  angles.name = "deg";
  for (std::size_t t = 0; t < room.turns.size(); ++t) {
    std::vector<double>& row = angles.rows.emplace_back();
    std::vector<double> answered;
    for (std::size_t b = 0; b < room.turns[t].ranges_m.size(); ++b) {
      if ((b + t) % 9 == 0) continue;  // a beam that nothing answered is not there
      row.push_back(2.0 * static_cast<double>(b));
      answered.push_back(1e3 * room.turns[t].ranges_m[b]);
    }
    kind.arrays[0].rows[t] = answered;
  }
  kind.arrays.push_back(angles);
  const LogSample sample = made_sample({kind});
  const std::vector<RangeGuess> guesses = guess_ranges(sample);
  ASSERT_FALSE(guesses.empty());
  EXPECT_EQ(guesses[0].array, 0U);
  EXPECT_EQ(guesses[0].angle_list, 1U);
  EXPECT_TRUE(guesses[0].angles_told);
  const std::vector<Scan> scans = sampled_scans(sample, guesses[0], 10);
  EXPECT_NEAR(scans[0].returns[0].angle_rad, 2.0 * std::numbers::pi / 180.0, 1e-6);
}

TEST(RangeGuess, BeamsOneARecord) {
  const MadeRoom room(15.0);
  RecordKind kind;
  kind.columns = {made_column("t", {}), made_column("angle", {}), made_column("q", {}), made_column("mm", {})};
  for (const MadeTurn& turn : room.turns) {
    for (std::size_t b = 0; b < turn.ranges_m.size(); ++b) {
      kind.columns[0].values.push_back(std::round(1e3 * turn.time_s));
      kind.columns[1].values.push_back(2.0 * static_cast<double>(b));
      kind.columns[2].values.push_back(static_cast<double>((b * 31 + kind.columns[2].values.size() * 7) % 60));
      kind.columns[3].values.push_back(std::round(1e3 * turn.ranges_m[b]));
    }
  }
  const LogSample sample = made_sample({kind});
  const std::vector<RangeGuess> guesses = guess_ranges(sample);
  ASSERT_FALSE(guesses.empty());
  EXPECT_FALSE(guesses[0].array);
  EXPECT_EQ(guesses[0].angle_column, 1U);
  EXPECT_EQ(guesses[0].range_column, 3U);
  EXPECT_TRUE(guesses[0].angles_told);
  const std::vector<Scan> scans = sampled_scans(sample, guesses[0], 20);
  ASSERT_EQ(scans.size(), 20U);
  EXPECT_EQ(scans[2].returns.size(), room.turns[2].ranges_m.size());
  EXPECT_NEAR(scans[2].returns[45].angle_rad, 0.5 * std::numbers::pi, 1e-6);
}

TEST(RangeGuess, WheelsAreNone) { EXPECT_TRUE(guess_ranges(made_sample({made_wheel_kind(MadeRoom(15.0))})).empty()); }

}  // namespace
}  // namespace wainscot
