#include "io/convert/range_choice.hpp"

#include <string>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/convert/made_room_log.hpp"

namespace wainscot {
namespace {

std::string refusal(const LogSample& sample) {
  const AskUser nobody;
  GuessItems items(nobody);
  try {
    choose_ranges(sample, items);
  } catch (const PoorData& error) {
    return error.what();
  }
  return {};
}

TEST(RangeChoice, TheRangesAndHowTheLidarMovedByThem) {
  const AskUser nobody;
  GuessItems items(nobody);
  const ChosenRanges chosen = choose_ranges(made_sample({made_scan_kind(MadeRoom(20.0))}), items);
  EXPECT_EQ(chosen.ranges.array, 0U);
  EXPECT_GT(chosen.track.sure, 0.9);
  const std::vector<GuessedItem> told = items.finish("scans", "");
  ASSERT_GE(told.size(), 3U);
  EXPECT_EQ(told[0].value, "column 3 of S");
  EXPECT_EQ(told[0].percent, 99);
  EXPECT_EQ(told[1].value, "column 2 of S, ms");
}

TEST(RangeChoice, SaysWhatIsMissing) {
  RecordKind scans = made_scan_kind(MadeRoom(20.0));
  scans.columns[0].values.assign(scans.columns[0].values.size(), 7.0);  // a clock that stands still
  EXPECT_NE(refusal(made_sample({scans})).find("column 3 and on look like a lidar's ranges, but"), std::string::npos);
  EXPECT_NE(refusal(made_sample({made_wheel_kind(MadeRoom(20.0))})).find("nothing in the logs looks like"),
            std::string::npos);
}

}  // namespace
}  // namespace wainscot
