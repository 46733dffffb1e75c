#include "io/convert/kind_collector.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

LogFile blanks() {
  LogFile file;
  file.name = "robot.log";
  file.separator = Separator::blanks;
  return file;
}

TEST(KindCollector, KindsTheMostFrequentFirst) {
  KindCollector kinds(blanks());
  kinds.begin("a", "1", "a");
  for (int i = 0; i < 2; ++i) {
    kinds.begin("b", "1", "b");
    kinds.cell(1, i == 0 ? "12" : "x");
    kinds.cell(2, "7");
  }
  const std::vector<RecordKind> result = kinds.finish({}, {"", "ticks"});
  ASSERT_EQ(result.size(), 2U);
  EXPECT_EQ(result[0].choice.message, "b");
  EXPECT_EQ(result[0].records, 2U);
  ASSERT_EQ(result[0].columns.size(), 3U);
  EXPECT_EQ(result[0].columns[1].name, "2");
  EXPECT_EQ(result[0].columns[1].label, "ticks");
  EXPECT_EQ(result[0].columns[1].values[0], 12.0);
  EXPECT_TRUE(std::isnan(result[0].columns[1].values[1]));
  EXPECT_EQ(result[0].columns[2].values, (std::vector<double>{7.0, 7.0}));
}

TEST(KindCollector, ANameInACellIsTheColumnsLabel) {
  KindCollector kinds(blanks());
  kinds.begin("", "", "");
  kinds.cell(0, "left=12");
  kinds.cell(1, "13");
  const std::vector<RecordKind> result = kinds.finish({}, {});
  EXPECT_EQ(result[0].columns[0].label, "left");
  EXPECT_EQ(result[0].columns[0].values[0], 12.0);
  EXPECT_FALSE(result[0].columns[0].is_clock);
  EXPECT_EQ(result[0].columns[1].label, "");
}

TEST(KindCollector, TimesOfDayGoOnAtMidnight) {
  KindCollector kinds(blanks());
  for (const char* time : {"23:59:59.5", "00:00:00.5", "00:00:01"}) {
    kinds.begin("", "", "");
    kinds.cell(0, time);
    kinds.text("at", time);
    kinds.text("word", "hello");
  }
  const std::vector<RecordKind> result = kinds.finish({}, {});
  ASSERT_EQ(result[0].columns.size(), 2U);
  for (const SampleColumn& column : result[0].columns) {
    EXPECT_TRUE(column.is_clock);
    EXPECT_EQ(column.values, (std::vector<double>{86399.5, 86400.5, 86401.0}));
  }
}

TEST(KindCollector, RowsThatLostAValueAreLeftOut) {
  KindCollector kinds(blanks());
  for (int i = 0; i < 200; ++i) {
    kinds.begin("", "", "");
    kinds.cell(0, std::to_string(i));
    kinds.cell(1, i == 50 ? "1#" : "12");
    if (i != 70) kinds.cell(2, "13");
    if (i % 2 == 0) kinds.cell(3, "14");  // often missing, so that nothing follows from that
  }
  const std::vector<RecordKind> result = kinds.finish({}, {});
  EXPECT_EQ(result[0].records, 198U);
  for (const SampleColumn& column : result[0].columns) EXPECT_EQ(column.values.size(), 198U);
  EXPECT_EQ(result[0].columns[0].values[50], 51.0);
}

}  // namespace
}  // namespace wainscot
