#include "io/log/tape_reader.hpp"

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

class TapeReaderTest : public testing::Test {
 protected:
  TapeList tapes(const std::string& text) { return read_tapes(folder_.write("tapes.csv", text), warnings_); }

  ReaderFolder folder_;
  std::vector<std::string> warnings_;
};

TEST_F(TapeReaderTest, InAnyOrderOfColumns) {
  const TapeList list = tapes("tape_m,name,y1_m,x1_m,x2_m,y2_m\n3.2,hall,1,0.5,-2,4\n,no tape,0,0,1,1");
  ASSERT_EQ(list.tapes.size(), 2U);
  EXPECT_TRUE(list.has_tape_column);
  EXPECT_EQ(list.tapes[0].name, "hall");
  EXPECT_EQ(list.tapes[0].tape.from_m, Eigen::Vector2d(0.5, 1.0));
  EXPECT_EQ(list.tapes[0].tape.to_m, Eigen::Vector2d(-2.0, 4.0));
  EXPECT_EQ(list.tapes[0].tape_m, 3.2);
  EXPECT_FALSE(list.tapes[1].tape_m);
}

TEST_F(TapeReaderTest, WithoutATape) {
  const TapeList list = tapes("name,x1_m,y1_m,x2_m,y2_m\na,0,0,1,1\n");
  EXPECT_FALSE(list.has_tape_column);
  EXPECT_FALSE(list.tapes.at(0).tape_m);
}

TEST_F(TapeReaderTest, Refusals) {
  const std::string header = "name,x1_m,y1_m,x2_m,y2_m,tape_m\n";
  EXPECT_THROW(tapes(header), InputError);
  EXPECT_THROW(tapes(header + "a,0,0,1,1,0\n"), InputError);
  EXPECT_THROW(tapes(header + "a,0,0,1,1,-2\n"), InputError);
  EXPECT_THROW(tapes(header + "a,0,0,1,1,two\n"), InputError);
  EXPECT_THROW(tapes(header + "a,0,0,0,0,1\n"), InputError);
  EXPECT_THROW(tapes(header + ",0,0,1,1,1\n"), InputError);
  EXPECT_THROW(tapes(header + "a,0,0,1,20000,1\n"), InputError);
  EXPECT_THROW(tapes("name,x1,y1_m,x2_m,y2_m\na,0,0,1,1\n"), InputError);
}

// What is printed of a tape, and left out of the comparison, goes by its name.
TEST_F(TapeReaderTest, NamesAreNotGivenTwice) {
  try {
    tapes("name,x1_m,y1_m,x2_m,y2_m\na,0,0,1,1\n# again\nb,0,0,1,1\na,0,0,2,2\n");
    FAIL();
  } catch (const InputError& error) {
    EXPECT_NE(std::string(error.what()).find("tapes.csv:5: name 'a' is that of line 2 too"), std::string::npos)
        << error.what();
  }
}

TEST_F(TapeReaderTest, CentimetresAreNotTakenForMetres) {
  const std::string header = "name,x1_m,y1_m,x2_m,y2_m,tape_m\n";
  EXPECT_THROW(tapes(header + "a,0,0,3,0,309\n"), InputError);
  EXPECT_THROW(tapes(header + "a,0,0,3,0,0.003\n"), InputError);
  EXPECT_EQ(tapes(header + "a,0,0,0.1,0,0.12\nb,0,0,3,0,3.7\n").tapes.size(), 2U);
}

}  // namespace
}  // namespace wainscot
