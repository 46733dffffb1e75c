#include "io/convert/range_runs.hpp"

#include <gtest/gtest.h>

#include "tests/io/convert/made_room_log.hpp"

namespace wainscot {
namespace {

/// A row a turn: time, start, step, the ranges, then a voltage and a checksum.
RecordKind row_kind(const MadeRoom& room) {
  RecordKind kind;
  kind.records = room.turns.size();
  const std::size_t beams = room.turns.front().ranges_m.size();
  const auto add = [&kind](const std::string& label) {
    kind.columns.push_back(made_column(std::to_string(kind.columns.size() + 1), {}, label));
  };
  for (const char* label : {"t", "from", "step"}) add(label);
  for (std::size_t b = 0; b < beams; ++b) add("d" + std::to_string(b));
  add("volt");
  add("sum");
  for (std::size_t i = 0; i < room.turns.size(); ++i) {
    std::vector<double> row = {room.turns[i].time_s, 0.0, 2.0};
    row.insert(row.end(), room.turns[i].ranges_m.begin(), room.turns[i].ranges_m.end());
    row.push_back(12.3 + 0.01 * static_cast<double>(i % 3));
    row.push_back(static_cast<double>((i * 97) % 256));
    for (std::size_t c = 0; c < row.size(); ++c) kind.columns[c].values.push_back(row[c]);
  }
  return kind;
}

TEST(RangeRuns, EndWhereSomethingElseBegins) {
  RecordKind kind = row_kind(MadeRoom(20.0));
  gather_range_runs(kind);
  ASSERT_EQ(kind.arrays.size(), 1U);
  EXPECT_EQ(kind.arrays[0].name, "4");
  EXPECT_EQ(kind.arrays[0].last_name, "183");
  EXPECT_FALSE(kind.arrays[0].to_the_end);
  ASSERT_EQ(kind.columns.size(), 5U);
  EXPECT_EQ(kind.columns[3].label, "volt");
  EXPECT_EQ(kind.arrays[0].rows[7].size(), 180U);
}

TEST(RangeRuns, BlindBeamsAtTheEndBelongToIt) {
  RecordKind kind = row_kind(MadeRoom(20.0));
  for (std::size_t c = 3; c < 9; ++c) std::fill(kind.columns[c].values.begin(), kind.columns[c].values.end(), 0.0);
  gather_range_runs(kind);
  ASSERT_EQ(kind.arrays.size(), 1U);
  EXPECT_EQ(kind.arrays[0].name, "4");
}

/// The robot's own mast before some beams, at a hand's breadth.
void put_mast(RecordKind& kind, std::size_t first, std::size_t last) {
  for (std::size_t c = first; c < last; ++c) {
    std::vector<double>& values = kind.columns[c].values;
    for (std::size_t i = 0; i < values.size(); ++i) values[i] = 0.13 + 0.002 * static_cast<double>((i + c) % 3);
  }
}

TEST(RangeRuns, GoOnOverTheRobotsOwnBody) {
  for (const bool named : {true, false}) {
    for (const std::size_t first : {3U, 90U, 175U}) {
      RecordKind kind = row_kind(MadeRoom(20.0));
      put_mast(kind, first, first + 8);
      if (!named) {
        for (SampleColumn& column : kind.columns) column.label.clear();
      }
      gather_range_runs(kind);
      ASSERT_EQ(kind.arrays.size(), 1U) << named << first;
      EXPECT_EQ(kind.arrays[0].name, "4") << named << first;
      EXPECT_EQ(kind.arrays[0].last_name, "183") << named << first;
    }
  }
}

TEST(RangeRuns, LeavesAnOrdinaryTableAlone) {
  RecordKind kind = made_wheel_kind(MadeRoom(5.0));
  kind.records = kind.columns.front().values.size();
  gather_range_runs(kind);
  EXPECT_TRUE(kind.arrays.empty());
  EXPECT_EQ(kind.columns.size(), 3U);
}

}  // namespace
}  // namespace wainscot
