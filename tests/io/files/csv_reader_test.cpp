#include "io/files/csv_reader.hpp"

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

using namespace std::string_literals;

using Table = std::vector<std::vector<double>>;

class CsvReaderTest : public testing::Test {
 protected:
  // The columns time_s, a and, where it is there, b of a file with this text.
  Table read(const std::string& text, UnfinishedRow unfinished = UnfinishedRow::drop) {
    FileReader file(folder_.write("t.csv", text));
    CsvReader table(file, unfinished, warnings_);
    const auto columns = table.find_columns({"time_s", "a"}, {"b"});
    Table rows;
    while (table.next_row()) {
      rows.push_back({table.time(columns[0]), table.number(columns[1])});
      if (columns[2] != CsvReader::kAbsent) rows.back().push_back(table.number(columns[2]));
    }
    return rows;
  }

  // The message of the refusal without the folder's name, or "" where the text is accepted.
  std::string refusal(const std::string& text) {
    try {
      read(text);
    } catch (const InputError& error) {
      const std::string message = error.what();
      return message.substr(message.rfind("t.csv"));
    }
    return "";
  }

  ReaderFolder folder_;
  std::vector<std::string> warnings_;
};

TEST_F(CsvReaderTest, ColumnsInAnyOrder) {
  EXPECT_EQ(read("a,time_s\n1,2\n3,4\n"), (Table{{2, 1}, {4, 3}}));
  EXPECT_EQ(read("b,a,time_s\n9,1,2\n"), (Table{{2, 1, 9}}));
}

TEST_F(CsvReaderTest, CommentsBlankLinesCrLfSpacesAndByteOrderMark) {
  EXPECT_EQ(read("\xef\xbb\xbf# by hand\r\n\r\n time_s , a\r\n1, 2 \r\n# a pause\r\n  \r\n\t3,4\r\n"),
            (Table{{1, 2}, {3, 4}}));
  EXPECT_TRUE(warnings_.empty());
}

TEST_F(CsvReaderTest, ARowWithoutLineEndIsDroppedOrKept) {
  EXPECT_EQ(read("time_s,a\n1,2\n3,4"), (Table{{1, 2}}));
  ASSERT_EQ(warnings_.size(), 1u);
  EXPECT_NE(warnings_[0].find("t.csv:3: the last row has no line end"), std::string::npos);
  EXPECT_EQ(read("time_s,a\n1,2\n3,4", UnfinishedRow::keep), (Table{{1, 2}, {3, 4}}));
  EXPECT_EQ(read("time_s,a\n1,2\n3,4\r"), (Table{{1, 2}}));
  EXPECT_EQ(read("time_s,a\n1,2\n3\0\0\0"s), (Table{{1, 2}}));
}

TEST_F(CsvReaderTest, ALineMayBeLongerThanABlock) {
  const std::string comment = "#" + std::string(1'000'000, 'x') + "\n";
  EXPECT_EQ(read(comment + "time_s,a\n" + comment + "1,2\n"), (Table{{1, 2}}));
}

TEST_F(CsvReaderTest, EveryCutOfTheBlocksGivesTheSameRows) {
  std::string text = "time_s,a\n";
  Table expected;
  for (int i = 0; i < 60'000; ++i) {
    text += std::to_string(i) + "," + std::to_string(i % 977) + "\n";
    expected.push_back({static_cast<double>(i), static_cast<double>(i % 977)});
  }
  for (int shift = 0; shift < 12; ++shift)
    EXPECT_EQ(read(std::string(static_cast<std::size_t>(shift), '\n') + text), expected);
}

TEST_F(CsvReaderTest, RefusalsNameTheLine) {
  EXPECT_EQ(refusal("time_s,a\n1,2\n\n2,abc\n"),
            "t.csv:4: a is 'abc', which is not a number; write a number with a decimal point, such as 1.25");
  EXPECT_EQ(refusal("time_s,a\n1,2\n0.5,2\n"),
            "t.csv:3: time_s goes back from 1 to 0.5 s; sort the rows by time, or split the file where the clock was "
            "set");
  EXPECT_EQ(refusal("time_s,a\n1\n"), "t.csv:2: the row has 1 cells but the header 2; complete or delete the row");
  EXPECT_EQ(refusal("time_s,a\n1,2,3\n"),
            "t.csv:2: the row has 3 cells but the header 2; remove the surplus (a decimal comma also looks like one)");
  EXPECT_EQ(refusal("time_s,a\n1,\n"), "t.csv:2: a is empty; write a number");
  EXPECT_EQ(refusal("time_s,a\nnan,1\n"),
            "t.csv:2: time_s is 'nan', which is not a finite number; write a number or delete the row");
  EXPECT_EQ(refusal("time_s,a\n1732600000000,1\n"),
            "t.csv:2: time_s is '1732600000000', which is not possible (at most 1e+11); check the unit");
  EXPECT_EQ(refusal("time_s,a\n1,2\0\n"s),
            "t.csv:2: a holds a NUL byte ('2\\x00'), so the file is damaged; delete the row");
  EXPECT_EQ(refusal("time_s,a\n1," + std::string(41, '7') + "\n"),
            "t.csv:2: a is a number of 41 characters; write at most 40");
  EXPECT_EQ(refusal("time_s,a\n1,1e400\n"),
            "t.csv:2: a is '1e400', which no variable can hold; write the number that was measured");
}

TEST_F(CsvReaderTest, RefusalsOfTheHeader) {
  EXPECT_EQ(refusal("time_s\n1\n"), "t.csv:1: the column a is missing; add it");
  EXPECT_EQ(refusal("time_s,a,a\n1,2,3\n"), "t.csv:1: the column a is there twice; remove one");
  EXPECT_EQ(refusal("# c\ntimes,a\n1,2\n"),
            "t.csv:2: the column 'times' is not known here; the nearest known one is time_s: rename or remove it");
  EXPECT_EQ(refusal("time_s,a,\n1,2,\n"),
            "t.csv:1: the column '' is not known here; the nearest known one is a: rename or remove it");
  EXPECT_NE(refusal("time_s;a\n1;2\n").find("separate them by commas"), std::string::npos);
  EXPECT_NE(refusal("time_s\ta\n1\t2\n").find("separate them by commas"), std::string::npos);
  EXPECT_NE(refusal("time_s,a\r1,2\r").find("lone CR"), std::string::npos);
  EXPECT_NE(refusal("\"time_s\",\"a\"\n1,2\n").find("quotation marks"), std::string::npos);
}

TEST_F(CsvReaderTest, RefusalsOfTheFile) {
  EXPECT_EQ(refusal(""), "t.csv: is empty; fill it, or remove it where it is not needed");
  EXPECT_EQ(refusal("\n# nothing\n"), "t.csv: has no header row; the first line must name the columns");
  EXPECT_EQ(refusal("time_s,a\n"), "t.csv: has a header but no row; record it again or remove it");
  EXPECT_EQ(refusal("time_s,a"), "t.csv: has a header but no row; record it again or remove it");
  EXPECT_EQ(refusal("\xff\xfet\0i\0"s), "t.csv: is UTF-16 text; save it as UTF-8");
  EXPECT_EQ(refusal("\xfe\xff\0t\0i"s), "t.csv: is UTF-16 text; save it as UTF-8");
  EXPECT_EQ(refusal("t\0i\0m\0e\0_\0s\0"s), "t.csv: is UTF-16 text; save it as UTF-8");
  EXPECT_EQ(refusal("\0t\0i\0m\0e\0_\0s"s), "t.csv: is UTF-16 text; save it as UTF-8");
  EXPECT_EQ(refusal("\x1f\x8b\x08 rest"), "t.csv: is compressed (gzip); unpack it first");
  EXPECT_EQ(refusal("PK\x03\x04 rest"), "t.csv: is a ZIP file or a spreadsheet's own format; save it as CSV text");
  EXPECT_EQ(refusal("\x7f"
                    "ELF\x02\x01\x01"),
            "t.csv: is a binary file; write it as plain UTF-8 text");
  EXPECT_NE(refusal("time_s,a\r" + std::string(5'000'000, '1')).find("t.csv:1: the lines end in a lone CR"),
            std::string::npos);
  EXPECT_NE(refusal("time_s,a\n" + std::string(5'000'000, '1')).find("t.csv:2: the line is longer than 4 MB"),
            std::string::npos);
}

TEST_F(CsvReaderTest, WholeNumbersAndNames) {
  FileReader file(folder_.write("t.csv", "n,w\n12,Tür\n12.0,x\n1e3,\n99999999999999999999,\xfc\nfast,z\n"));
  CsvReader table(file, UnfinishedRow::drop, warnings_);
  const auto refused = [](const auto& call) -> std::string {
    try {
      call();
    } catch (const InputError& error) {
      return error.what();
    }
    return "";
  };
  ASSERT_TRUE(table.next_row());
  EXPECT_EQ(table.whole_number(0), 12);
  EXPECT_EQ(table.name(1), "Tür");
  ASSERT_TRUE(table.next_row());
  EXPECT_NE(refused([&] { table.whole_number(0); }).find("'12.0', which is not a whole number"), std::string::npos);
  ASSERT_TRUE(table.next_row());
  EXPECT_NE(refused([&] { table.whole_number(0); }).find("not a whole number"), std::string::npos);
  EXPECT_NE(refused([&] { table.name(1); }).find("w is empty"), std::string::npos);
  ASSERT_TRUE(table.next_row());
  EXPECT_NE(refused([&] { table.whole_number(0); }).find("no variable can hold"), std::string::npos);
  EXPECT_NE(refused([&] { table.name(1); }).find("not UTF-8"), std::string::npos);
  ASSERT_TRUE(table.next_row());
  EXPECT_NE(refused([&] { table.whole_number(0); }).find("'fast', which is not a number; write a whole number"),
            std::string::npos);
}

}  // namespace
}  // namespace wainscot
