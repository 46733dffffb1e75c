#include "io/convert/table_writer.hpp"

#include <cmath>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <random>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

class TableWriterTest : public testing::Test {
 protected:
  void row(double time_s) {
    if (!writer_.begin_row(time_s, 2 * TableWriter::kLongestNumberText)) return;
    writer_.add_number<3>(time_s);
    writer_.add('\n');
  }
  std::string finished() {
    writer_.finish();
    std::ifstream in(folder_.path() / "t.csv");
    return {std::istreambuf_iterator<char>(in), {}};
  }
  ReaderFolder folder_;
  TableWriter writer_{folder_.path() / "t.csv"};
};

TEST_F(TableWriterTest, RowsInTheOrderOfTime) {
  writer_.add_header("time_s\n");
  for (const double time_s : {1.0, 2.0, 2.0, 1.5, 3.0}) row(time_s);
  EXPECT_EQ(finished(), "time_s\n1\n2\n2\n3\n");
  EXPECT_EQ(writer_.rows(), 4U);
  EXPECT_EQ(writer_.left_out(), 1U);
  EXPECT_EQ(writer_.first_s(), 1.0);
  EXPECT_EQ(writer_.last_s(), 3.0);
}

// A damaged number far ahead would else cost all rows behind it.
TEST_F(TableWriterTest, ARowThatIsAheadIsTakenBack) {
  for (const double time_s : {900.0, 1.0, 2.0, 77.0, 3.0, 4.0}) row(time_s);
  EXPECT_EQ(finished(), "1\n2\n3\n4\n");
  EXPECT_EQ(writer_.rows(), 4U);
  EXPECT_EQ(writer_.left_out(), 2U);
  EXPECT_EQ(writer_.first_s(), 1.0);
}

TEST_F(TableWriterTest, NumbersWithoutZerosAtTheirEnd) {
  ASSERT_TRUE(writer_.begin_row(0.0, 1000));
  for (const double value : {0.0, -0.0, 1.5, -2.25, 1e-7, -1e-7, 0.000006, 0.05, 12345678.000001, 1e17}) {
    writer_.add_number<6>(value);
    writer_.add(' ');
  }
  EXPECT_EQ(finished(), "0 0 1.5 -2.25 0 0 0.000006 0.05 12345678.000001 1e+17 ");
}

TEST_F(TableWriterTest, NumbersAreRightToHalfTheirLastDecimal) {
  std::mt19937 random(3);
  std::uniform_real_distribution<double> exponent(-6.0, 6.0);
  std::vector<double> values;
  for (int i = 0; i < 10'000; ++i) {
    values.push_back((i % 2 == 0 ? 1.0 : -1.0) * std::pow(10.0, exponent(random)));
    ASSERT_TRUE(writer_.begin_row(i, 1000));
    writer_.add_number<5>(values.back());
    writer_.add('\n');
  }
  std::istringstream lines(finished());
  std::string line;
  for (const double value : values) {
    ASSERT_TRUE(std::getline(lines, line));
    EXPECT_NEAR(std::strtod(line.c_str(), nullptr), value, 0.5e-5 + 1e-15 * std::abs(value)) << line;
  }
}

TEST_F(TableWriterTest, LongTablesAreWrittenInBlocks) {
  std::string expected;
  for (int i = 0; i < 500'000; ++i) {
    row(i);
    expected += std::to_string(i) + "\n";
  }
  EXPECT_TRUE(finished() == expected);
}

TEST_F(TableWriterTest, ANameThatIsTakenIsNotWrittenOver) {
  EXPECT_THROW(TableWriter(folder_.path() / "t.csv"), std::runtime_error);
  EXPECT_THROW(TableWriter(folder_.path() / "absent" / "t.csv"), std::runtime_error);
}

}  // namespace
}  // namespace wainscot
