#include "io/map/row_reader.hpp"

#include <cmath>
#include <stdexcept>
#include <string>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

class RowReaderTest : public testing::Test {
 protected:
  RowReaderTest() : database_(":memory:", SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE) {
    database_.exec("CREATE TABLE things (x_m, note, bytes)");
    database_.exec("INSERT INTO things VALUES (1.5, 'first', x'0102'), (NULL, '', x''), (1e300, 'far', NULL)");
  }

  template <typename Read>
  std::string refusal(const Read& read) {
    RowReader row(database_, "SELECT x_m, note FROM things ORDER BY rowid");
    try {
      while (row.next()) read(row);
    } catch (const std::out_of_range& error) {
      return error.what();
    }
    return "was accepted";
  }

  SQLite::Database database_;
};

TEST_F(RowReaderTest, TakesColumnsOneAfterTheOther) {
  RowReader row(database_, "SELECT x_m, note, bytes FROM things ORDER BY rowid");
  ASSERT_TRUE(row.next());
  EXPECT_EQ(row.metres(), 1.5);
  EXPECT_EQ(row.text(), "first");
  const auto bytes = row.blob();
  ASSERT_EQ(bytes.size(), 2U);
  EXPECT_EQ(bytes[1], 2);
  ASSERT_TRUE(row.next());
  EXPECT_TRUE(std::isnan(row.number()));
  EXPECT_EQ(row.text(), "");
  EXPECT_TRUE(row.blob().empty());
  ASSERT_TRUE(row.next());
  EXPECT_FALSE(row.next());
}

TEST_F(RowReaderTest, SaysWhichCellCannotBe) {
  EXPECT_EQ(refusal([](RowReader& row) { row.metres(); }), "row 2 of things: x_m is nan");
  EXPECT_EQ(refusal([](RowReader& row) { row.optional_heading_rad(); }), "row 3 of things: x_m is 1e+300");
  EXPECT_EQ(refusal([](RowReader& row) {
              row.number();
              row.number();
            }),
            "row 1 of things: note is no number");
}

// Damaged pages that lead back to one another give rows without end; a text may be computed.
TEST_F(RowReaderTest, RefusesMoreThanFitsIntoTheFile) {
  const auto read_all = [this](const std::string& query) {
    try {
      for (RowReader row(database_, query); row.next();) row.text();
    } catch (const std::out_of_range& error) {
      return std::string(error.what());
    }
    return std::string("was accepted");
  };
  EXPECT_EQ(read_all("SELECT note FROM things ORDER BY rowid"), "was accepted");
  // Two pages of 4096 bytes; three rows of five bytes and 10,000 others.
  EXPECT_EQ(read_all("SELECT hex(zeroblob(5000)) FROM things ORDER BY rowid"),
            "row 1 of things no longer fits into the file");
  EXPECT_EQ(read_all("SELECT '' FROM things AS a, things AS b, things AS c, things AS d, things AS e, things AS f, "
                     "things AS g"),
            "row 1639 of things no longer fits into the file");
}

TEST_F(RowReaderTest, CountsWithinWhatThereIs) {
  const auto read = [this](const char* number, const auto& take) {
    RowReader row(database_, std::string("SELECT ") + number + " FROM things LIMIT 1");
    row.next();
    return take(row);
  };
  const auto index = [](RowReader& row) { return row.index(3); };
  const auto drive = [](RowReader& row) { return row.drive(3); };
  EXPECT_EQ(read("2", index), 2U);
  EXPECT_THROW(read("3", index), std::out_of_range);
  EXPECT_THROW(read("-1", index), std::out_of_range);
  EXPECT_EQ(read("3", drive), 2U);
  EXPECT_THROW(read("0", drive), std::out_of_range);
  EXPECT_THROW(read("4", drive), std::out_of_range);
}

TEST_F(RowReaderTest, AMatrixIsFilledOnBothSides) {
  RowReader row(database_, "SELECT 1, 2, 3, 4, 5, 6 FROM things LIMIT 1");
  row.next();
  Eigen::Matrix3d expected;
  expected << 1, 2, 4, 2, 3, 5, 4, 5, 6;
  EXPECT_EQ(row.symmetric(), expected);
  RowReader negative(database_, "SELECT -1, 2, 3, 4, 5, 6 FROM things LIMIT 1");
  negative.next();
  EXPECT_THROW(negative.symmetric(), std::out_of_range);
}

}  // namespace
}  // namespace wainscot
