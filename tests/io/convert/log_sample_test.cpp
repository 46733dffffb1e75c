#include "io/convert/log_sample.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/convert/made_room_log.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

LogSample sample_of(const std::string& text, std::size_t most_bytes = 24'000'000) {
  const ReaderFolder folder;
  LogSampleOptions options;
  options.most_bytes = most_bytes;
  return read_log_sample({folder.write("a.log", text)}, {"a.log"}, options);
}

TEST(LogSample, CutsMessagesApartAndGathersRanges) {
  const MadeRoom room(10.0);
  const LogSample sample = sample_of(made_log_text(room));
  ASSERT_EQ(sample.files.size(), 1U);
  ASSERT_EQ(sample.files[0].kinds.size(), 2U);
  const RecordKind& wheels = sample.files[0].kinds[0];
  EXPECT_EQ(wheels.choice.message, "W");
  EXPECT_EQ(wheels.choice.message_column, "1");
  EXPECT_EQ(wheels.records, room.wheels.size());
  ASSERT_EQ(wheels.columns.size(), 4U);
  EXPECT_EQ(wheels.columns[2].name, "3");
  EXPECT_EQ(wheels.columns[2].values.back(), static_cast<double>(room.wheels.back().left_ticks + 700));
  const RecordKind& scans = sample.files[0].kinds[1];
  ASSERT_EQ(scans.arrays.size(), 1U);
  EXPECT_EQ(scans.arrays[0].name, "3");
  EXPECT_TRUE(scans.arrays[0].to_the_end);
  EXPECT_EQ(scans.arrays[0].rows.size(), room.turns.size());
  EXPECT_EQ(scans.arrays[0].rows[5].size(), room.turns[5].ranges_m.size());
}

TEST(LogSample, JsonKindsByTheirNamesOrByAWord) {
  const LogSample by_names =
      sample_of("{\"t\": 1, \"l\": 5}\n{\"t\": 1, \"scan\": {\"mm\": [1, null, 3]}}\n{\"t\": 2, \"l\": 6}\n");
  ASSERT_EQ(by_names.files[0].kinds.size(), 2U);
  EXPECT_TRUE(by_names.files[0].kinds[0].choice.message_column.empty());
  EXPECT_EQ(by_names.files[0].kinds[0].records, 2U);
  ASSERT_EQ(by_names.files[0].kinds[1].arrays.size(), 1U);
  EXPECT_EQ(by_names.files[0].kinds[1].arrays[0].name, "scan.mm");
  EXPECT_TRUE(std::isnan(by_names.files[0].kinds[1].arrays[0].rows[0][1]));
  const LogSample by_word = sample_of("{\"k\": \"w\", \"t\": 1}\n{\"k\": \"s\", \"t\": 1}\n{\"k\": \"w\", \"t\": 2}\n");
  ASSERT_EQ(by_word.files[0].kinds.size(), 2U);
  EXPECT_EQ(by_word.files[0].kinds[0].choice.message_column, "k");
  EXPECT_EQ(by_word.files[0].kinds[0].choice.message, "w");
}

TEST(LogSample, IsBounded) {
  std::string text = "t,a\n";
  for (int i = 0; i < 10000; ++i) text += std::to_string(i) + ",5\n";
  EXPECT_EQ(sample_of(text).files[0].kinds[0].records, 10000U);
  EXPECT_LT(sample_of(text, 1000).files[0].kinds[0].records, 400U);
}

TEST(LogSample, RefusesALogWithoutRows) { EXPECT_THROW(sample_of("# nothing\n"), InputError); }

}  // namespace
}  // namespace wainscot
