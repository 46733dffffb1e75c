#include "io/convert/record_reader.hpp"

#include <cmath>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/convert/sample_log.hpp"

namespace wainscot {
namespace {

using Step = RecordReader::Step;

std::string reader_refusal(const std::string& text, const LogFile& file, const std::string& name) {
  try {
    const SampleLog log(text, file, {name});
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}

double number_of(const RecordReader& records, const std::string& name) {
  double value = 0.0;
  EXPECT_TRUE(records.number(records.place(name), value)) << name;
  return value;
}

TEST(RecordReader, ColumnsByNameAndByNumber) {
  SampleLog log("# made by a cart\n\nt,l,r\n1,2,3\n# note\n4,,6\nt,l,r\n7\n", table_file(Separator::comma, true),
                {"t", "l", "3"});
  RecordReader& records = log.records();
  ASSERT_EQ(records.next(), Step::record);
  EXPECT_EQ(number_of(records, "t"), 1.0);
  EXPECT_EQ(number_of(records, "3"), 3.0);
  ASSERT_EQ(records.next(), Step::record);
  EXPECT_FALSE(records.has(records.place("l")));
  EXPECT_TRUE(std::isnan(number_of(records, "l")));
  ASSERT_EQ(records.next(), Step::record);
  EXPECT_EQ(log.line(), 8U);
  EXPECT_EQ(records.headers(), 1U);
  double value = 0.0;
  EXPECT_FALSE(records.number(records.place("l"), value));
  EXPECT_EQ(records.next(), Step::end);
}

TEST(RecordReader, TheHeaderMayStandBehindNoise) {
  SampleLog log("\x01\xff,x\nt,l\n1,2\n", table_file(Separator::comma, true), {"l"});
  ASSERT_EQ(log.records().next(), Step::record);
  EXPECT_EQ(number_of(log.records(), "l"), 2.0);
}

TEST(RecordReader, AMissingColumnIsNamed) {
  const std::string refusal = reader_refusal("time,left\n1,2\n", table_file(Separator::comma, true), "lft");
  EXPECT_NE(refusal.find("a.log:1: there is no column 'lft' in the header; the nearest is 'left'"), std::string::npos)
      << refusal;
  EXPECT_NE(reader_refusal("1 2\n", table_file(Separator::blanks, false), "left").find("has a name, but"),
            std::string::npos);
}

TEST(RecordReader, CellsInARow) {
  SampleLog log("S 1 10 20 30 end\nS 1\n", table_file(Separator::blanks, false), {"3", "5"});
  RecordReader& records = log.records();
  ASSERT_EQ(records.next(), Step::record);
  EXPECT_EQ(records.cells(records.place("3"), records.place("5")).size(), 3U);
  EXPECT_EQ(records.cells(records.place("3"), std::nullopt).size(), 4U);
  ASSERT_EQ(records.next(), Step::record);
  EXPECT_TRUE(records.cells(records.place("3"), std::nullopt).empty());
}

TEST(RecordReader, JsonByItsPaths) {
  SampleLog log("{\"k\": 3, \"p\": {\"x\": \"1.5\"}, \"r\": [1, 2]}\nno object\n{\"r\": [\"a\"]}\n", json_file(),
                {"k", "p.x", "r"});
  RecordReader& records = log.records();
  ASSERT_EQ(records.next(), Step::record);
  EXPECT_EQ(records.text(records.place("k")), "3");
  EXPECT_EQ(number_of(records, "p.x"), 1.5);
  ASSERT_NE(records.list(records.place("r")), nullptr);
  EXPECT_EQ(records.list(records.place("r"))->size(), 2U);
  EXPECT_EQ(records.text(records.place("r")), "");
  EXPECT_EQ(records.next(), Step::damaged);
  ASSERT_EQ(records.next(), Step::record);
  EXPECT_EQ(records.list(records.place("r")), nullptr);
  EXPECT_FALSE(records.has(records.place("k")));
}

}  // namespace
}  // namespace wainscot
