#include "io/log/growing_table.hpp"

#include <fstream>
#include <string>
#include <string_view>
#include <vector>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

using News = GrowingText::News;

/// A table that a test writes on and reads.
class GrowingTableTest : public testing::Test {
 protected:
  News add(const std::string& text) {
    std::ofstream(file_, std::ios::app) << text;
    return table_.read();
  }
  /// The lines that a reader gets, each with its number in the file.
  std::vector<std::string> lines() const {
    FileReader rows = table_.rows();
    std::vector<std::string> lines;
    std::string_view line;
    while (rows.next_line(line)) lines.push_back(std::to_string(rows.line_number()) + ": " + std::string(line));
    return lines;
  }

  using Lines = std::vector<std::string>;
  ReaderFolder folder_;
  const std::filesystem::path file_ = folder_.path() / "t.csv";
  GrowingTable table_{GrowingText(file_)};
};

TEST_F(GrowingTableTest, WithoutARowItHasNoNews) {
  EXPECT_EQ(table_.read(), News::none);
  EXPECT_EQ(add("# recorded by hand\n"), News::none);
  EXPECT_EQ(add("\ntime_s,le"), News::none);
  EXPECT_EQ(add("ft\n"), News::none);
  EXPECT_EQ(add("  \n# a comment\n"), News::none);
  EXPECT_FALSE(table_.has_rows());
  EXPECT_EQ(add("1,2\n3"), News::lines);
  EXPECT_TRUE(table_.has_rows());
  EXPECT_EQ(lines(), (Lines{"1: # recorded by hand", "2: ", "3: time_s,left", "4:   ", "5: # a comment", "6: 1,2"}));
}

TEST_F(GrowingTableTest, ItsLastRowsStandBehindItsHeaderWithTheirNumbers) {
  add("# recorded\ntime_s\n");
  for (int row = 1; row <= 7; ++row) ASSERT_EQ(add(std::to_string(row) + "\n"), News::lines);
  table_.keep_last(4);
  EXPECT_EQ(table_.row_count(), 7U) << "a few more are kept, so that not each row costs all of them";
  table_.keep_last(3);
  EXPECT_EQ(table_.row_count(), 3U);
  EXPECT_EQ(lines(), (Lines{"1: # recorded", "2: time_s", "7: 5", "8: 6", "9: 7"}));
  add("8\n");
  EXPECT_EQ(lines(), (Lines{"1: # recorded", "2: time_s", "7: 5", "8: 6", "9: 7", "10: 8"}));
}

TEST_F(GrowingTableTest, MemoryStaysBounded) {
  add("time_s\n");
  std::size_t most = 0;
  for (int row = 0; row < 1000; ++row) {
    add(std::to_string(row) + "\n");
    most = std::max(most, table_.row_count());
    table_.keep_last(10);
  }
  EXPECT_LE(most, 21U);
}

TEST_F(GrowingTableTest, ForgettingAllLeavesTheHeader) {
  add("time_s\n1\n2\n");
  table_.keep_last(0);
  EXPECT_FALSE(table_.has_rows());
  EXPECT_EQ(add("# a comment\n"), News::none);
  EXPECT_EQ(add("3\n"), News::lines);
  EXPECT_EQ(lines(), (Lines{"1: time_s", "4: # a comment", "5: 3"}));
}

// What is kept may be comments alone, and those are no rows.
TEST_F(GrowingTableTest, CommentsAloneAreNoRows) {
  add("time_s\n1\n2\n# a comment\n");
  table_.keep_last(1);
  EXPECT_FALSE(table_.has_rows());
  EXPECT_EQ(add("# another\n"), News::none);
  EXPECT_EQ(add("3\n"), News::lines);
}

TEST_F(GrowingTableTest, WhatIsBehindACutComesNext) {
  add("# recorded\ntime_s\n1\n2\ntorn\n4\n5\n");
  EXPECT_TRUE(table_.has_row_on(5));
  EXPECT_FALSE(table_.has_row_on(2)) << "the header is none";
  table_.cut_at(5);
  EXPECT_EQ(lines(), (Lines{"1: # recorded", "2: time_s", "3: 1", "4: 2"}));
  EXPECT_EQ(table_.row_count(), 2U);
  EXPECT_FALSE(table_.has_row_on(5));
  EXPECT_EQ(add("6\n"), News::lines);
  EXPECT_EQ(lines(), (Lines{"1: # recorded", "2: time_s", "6: 4", "7: 5", "8: 6"}));
  table_.cut_at(8);
  EXPECT_EQ(add(""), News::none) << "nothing was behind it";
  EXPECT_FALSE(table_.has_rows());
  EXPECT_EQ(add("7\n"), News::lines);
  EXPECT_EQ(lines(), (Lines{"1: # recorded", "2: time_s", "9: 7"}));
}

TEST_F(GrowingTableTest, IsKeptFromALineOn) {
  add("time_s\n1\n2\n3\n4\n");
  table_.keep_from(4);
  EXPECT_EQ(lines(), (Lines{"1: time_s", "4: 3", "5: 4"}));
  EXPECT_EQ(table_.row_count(), 2U);
  table_.cut_at(4);
  EXPECT_FALSE(table_.has_rows());
  EXPECT_EQ(add(""), News::lines);
  EXPECT_EQ(lines(), (Lines{"1: time_s", "5: 4"}));
}

TEST_F(GrowingTableTest, OfAnotherFileNothingIsLeft) {
  add("time_s\n1\n2\n");
  std::filesystem::rename(folder_.write("new", "# new\nleft,time_s\n5,6\n"), file_);
  EXPECT_EQ(table_.read(), News::replaced);
  EXPECT_FALSE(table_.has_rows());
  EXPECT_EQ(table_.row_count(), 0U);
  EXPECT_EQ(table_.read(), News::lines);
  EXPECT_EQ(lines(), (Lines{"1: # new", "2: left,time_s", "3: 5,6"}));
}

TEST_F(GrowingTableTest, MessagesNameFileAndLine) {
  add("time_s\n1\n2\n3\n");
  table_.keep_last(1);
  add("x\n");
  FileReader rows = table_.rows();
  std::string_view line;
  while (rows.next_line(line)) continue;
  try {
    rows.fail("is no number; write one");
    FAIL() << "no refusal";
  } catch (const InputError& error) {
    EXPECT_EQ(error.what(), file_.string() + ":5: is no number; write one");
  }
}

}  // namespace
}  // namespace wainscot
