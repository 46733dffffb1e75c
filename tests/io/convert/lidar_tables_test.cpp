#include "io/convert/lidar_tables.hpp"

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/convert/sample_log.hpp"

namespace wainscot {
namespace {

ScanColumns scan_columns(double step_deg = 90.0) {
  ScanColumns scans;
  scans.time = column("1", "s");
  scans.ranges = "2";
  scans.range_unit = "m";
  scans.first_angle = constant(0, "deg");
  scans.angle_step = constant(step_deg, "deg");
  return scans;
}

std::string scan_table(SampleLog& log, const ScanColumns& scans, const ScanForm& form = {},
                       std::optional<ScanForm>* better = nullptr) {
  return log.filled([&](const RecordReader& records, TableWriter& writer) {
    struct Told : ScanTable {
      Told(const ScanColumns& columns, const ScanForm& given, const RecordReader& from, TableWriter& to,
           std::optional<ScanForm>* told)
          : ScanTable(columns, given, from, to), better(told) {}
      ~Told() override {
        if (better != nullptr) *better = better_form();
      }
      Told(const Told&) = delete;
      Told& operator=(const Told&) = delete;
      std::optional<ScanForm>* better;
    };
    return std::make_unique<Told>(scans, form, records, writer, better);
  });
}

SampleLog blank_log(const std::string& text) {
  return {text, table_file(Separator::blanks, false), {"1", "2", "3", "5"}};
}

TEST(ScanTable, RangesAsLoggedAndConverted) {
  SampleLog log = blank_log("0.5 1.50 0 inf -1\n1 nan 65.535 2 3.25\n");
  ScanColumns scans = scan_columns(-90);
  scans.no_return = {65.535};
  EXPECT_EQ(scan_table(log, scans), "time_s,0,-90,-180,-270\n0.5,1.50,,,\n1,,,2,3.25\n");
  SampleLog in_mm = blank_log("1 1500 1234.25 65535 0\n");
  scans.range_unit = "mm";
  scans.no_return = {65535};
  EXPECT_EQ(scan_table(in_mm, scans), "time_s,0,-90,-180,-270\n1,1.5,1.23425,,\n");
}

TEST(ScanTable, TheLastRangeIsNamedWhereOthersFollow) {
  SampleLog log = blank_log("1 1 2 3 4 end\n");
  ScanColumns scans = scan_columns();
  EXPECT_EQ(scan_table(log, scans), "");
  ASSERT_EQ(log.faults.size(), 1U);
  EXPECT_NE(
      log.faults[0].find("range 5 of 5 should be a number, but is 'end'; where something else follows the ranges, "
                         "name the last one's column with 'to'"),
      std::string::npos);
  SampleLog again = blank_log("1 1 2 3 4 end\n");
  scans.last_range = "5";
  EXPECT_EQ(scan_table(again, scans), "time_s,0,90,180,270\n1,1,2,3,4\n");
}

std::string wide_scan(int time_s, const std::string& odd) {
  std::string text = std::to_string(time_s);
  for (int i = 0; i < 99; ++i) text += " " + std::to_string(i + 1);
  return text + " " + odd + "\n";
}

std::string finish_of(const std::string& text, std::string& table_text) {
  std::vector<std::string> warnings;
  SampleLog log(text, table_file(Separator::blanks, false), {"1", "2"});
  try {
    table_text = log.filled([&](const RecordReader& records, TableWriter& writer) {
      struct Finished : ScanTable {
        Finished(const RecordReader& from, TableWriter& to, std::vector<std::string>& told)
            : ScanTable(scan_columns(1.0), {}, from, to), warnings(told) {}
        std::string add(const RecordReader& record) override {
          const std::string fault = ScanTable::add(record);
          warnings.clear();
          ScanTable::finish(warnings);
          return fault;
        }
        std::vector<std::string>& warnings;
      };
      return std::make_unique<Finished>(records, writer, warnings);
    });
  } catch (const InputError& error) {
    return std::string("refused: ") + error.what();
  }
  return warnings.empty() ? "" : warnings.front();
}

TEST(ScanTable, AGarbledRangeIsNoReturn) {
  std::string text;
  for (int i = 0; i < 11; ++i) text += wide_scan(i, "7");
  std::string table;
  EXPECT_EQ(finish_of(text, table), "");
  EXPECT_NE(
      finish_of(text + wide_scan(11, "1\x80"), table)
          .find("a.log:12: range 100 of 100 should be a number, but is '1\\x80'; taken for no return, as in 1 of 12 "
                "scans"),
      std::string::npos);
  EXPECT_NE(table.find(",98,99,\n"), std::string::npos);
  EXPECT_EQ(finish_of(wide_scan(0, "end"), table).rfind("refused: ", 0), 0U) << "a word behind each scan";
}

TEST(ScanTable, ASeparatorBehindTheLastRangeIsNoRange) {
  SampleLog log("1,1,2,\n2,1,,\n", table_file(Separator::comma, false), {"1", "2"});
  EXPECT_EQ(scan_table(log, scan_columns()), "time_s,0,90\n1,1,2\n2,1,\n");
}

std::string numbered_scans(int count, const std::string& usual, const std::string& odd, int each) {
  std::string text;
  for (int i = 0; i < count; ++i) text += std::to_string(i) + (i % each == 1 ? odd : usual) + "\n";
  return text;
}

TEST(ScanTable, OneOtherScanInAThousandIsDamaged) {
  const std::string text = numbered_scans(1000, " 1 2 3", " 1 23", 1000);
  SampleLog log = blank_log(text);
  std::optional<ScanForm> better;
  scan_table(log, scan_columns(), {}, &better);
  EXPECT_TRUE(log.faults.empty());
  ASSERT_TRUE(better.has_value());
  EXPECT_EQ(better->beams, 3U);
  EXPECT_FALSE(better->may_have_fewer);
  SampleLog again = blank_log(text);
  scan_table(again, scan_columns(), *better);
  ASSERT_EQ(again.faults.size(), 1U);
  EXPECT_EQ(again.faults[0], "2: the scan has 2 ranges, but nearly all others have 3");
}

TEST(ScanTable, ARangeMoreOrLessFillsUp) {
  const std::string text = numbered_scans(10, " 1 2 3", " 1 2", 2);
  SampleLog log = blank_log(text);
  std::optional<ScanForm> better;
  scan_table(log, scan_columns(), {}, &better);
  ASSERT_TRUE(better.has_value());
  EXPECT_TRUE(better->may_have_fewer);
  EXPECT_FALSE(better->as_returns);
  SampleLog again = blank_log(text);
  const std::string table = scan_table(again, scan_columns(), *better);
  EXPECT_EQ(table.rfind("time_s,0,90,180\n0,1,2,3\n1,1,2,\n2,1,2,3\n", 0), 0U) << table;
  EXPECT_TRUE(again.faults.empty());
}

TEST(ScanTable, WhatGoesRoundMoreThanOnceBecomesReturns) {
  SampleLog log = blank_log(numbered_scans(10, " 1 2 3 4 5 6", " 1 2 3 4", 2));
  std::optional<ScanForm> better;
  scan_table(log, scan_columns(), {}, &better);
  ASSERT_TRUE(better.has_value());
  EXPECT_TRUE(better->as_returns);
}

TEST(ScanTable, AnglesThatChangeBecomeReturns) {
  ScanColumns scans = scan_columns();
  scans.first_angle = column("2", "deg");
  scans.ranges = "3";
  const std::string text = "0 10 1 2 3 4\n1 20 1 2 3 4\n";
  SampleLog log = blank_log(text);
  std::optional<ScanForm> better;
  scan_table(log, scans, {}, &better);
  ASSERT_TRUE(better.has_value());
  ASSERT_TRUE(better->as_returns);
  SampleLog again = blank_log(text);
  EXPECT_EQ(scan_table(again, scans, *better),
            "time_s,angle_deg,range_m\n0,10,1\n0,100,2\n0,190,3\n0,280,4\n1,20,1\n1,110,2\n1,200,3\n1,290,4\n");
}

TEST(ScanTable, ListsOfAnglesBecomeReturns) {
  ScanColumns scans = scan_columns();
  scans.time = column("t", "s");
  scans.ranges = "r";
  scans.angles = column("a", "deg", -1);
  SampleLog log("{\"t\": 1, \"r\": [1, null], \"a\": [0, 90.5]}\n{\"t\": 2, \"r\": [1, 2], \"a\": [0]}\n", json_file(),
                {"t", "r", "a"});
  // The last row makes the next scan a new revolution, which this field of less than half a turn would not.
  EXPECT_EQ(scan_table(log, scans), "time_s,angle_deg,range_m\n1,0,1\n1,-90.5,\n1,-359,\n");
  ASSERT_EQ(log.faults.size(), 1U);
  EXPECT_NE(log.faults[0].find("has 1 angles, but there are 2 ranges"), std::string::npos);
}

TEST(ReturnTable, AnglesAndNumbers) {
  ReturnColumns returns;
  returns.time = column("1", "s");
  returns.angle = column("2", "rad");
  returns.range = column("3", "cm");
  returns.no_return = {999};
  const auto make = [&returns](const RecordReader& records, TableWriter& writer) {
    return std::make_unique<ReturnTable>(returns, records, writer);
  };
  SampleLog log = blank_log("1 0 150\n2 -1.5707963267948966 999\n3 0 -1\n4 x 1\n5 0 y\n");
  EXPECT_EQ(log.filled(make), "time_s,angle_deg,range_m\n1,0,1.5\n2,-90,\n3,0,\n");
  EXPECT_EQ(log.faults.size(), 2U);
  returns.angle = column("2");
  returns.first_angle = constant(-120, "deg");
  returns.angle_step = constant(0.5, "deg");
  SampleLog numbered = blank_log("1 0 150\n2 3 150\n");
  EXPECT_EQ(numbered.filled(make), "time_s,angle_deg,range_m\n1,-120,1.5\n2,-118.5,1.5\n");
}

}  // namespace
}  // namespace wainscot
