#include "io/log/hint_reader.hpp"

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

class HintReaderTest : public testing::Test {
 protected:
  // With scans from 10 to 100 s.
  std::vector<Hint> hints(const std::string& rows) {
    FileReader file(folder_.write("hints.csv", "time_1_s,time_2_s,same_place\n" + rows));
    return read_hints(file, 10.0, 100.0, warnings_);
  }

  ReaderFolder folder_;
  std::vector<std::string> warnings_;
};

TEST_F(HintReaderTest, InAnyOrderOfTime) {
  const auto read = hints("90,20,yes\n9.5,100.5,no");
  ASSERT_EQ(read.size(), 2u);
  EXPECT_EQ(read[0].time_1_s, 90.0);
  EXPECT_EQ(read[0].time_2_s, 20.0);
  EXPECT_TRUE(read[0].same_place);
  EXPECT_FALSE(read[1].same_place);
  EXPECT_TRUE(warnings_.empty());
}

TEST_F(HintReaderTest, TwoAnswersAboutOnePairOfMomentsAreRefused) {
  EXPECT_THROW(hints("20,90,yes\n20,90,no\n"), InputError);
  EXPECT_THROW(hints("20,90,yes\n30,70,yes\n90.02,20.01,no\n"), InputError);
  EXPECT_EQ(hints("20,90,yes\n20,90,yes\n25,90,no\n").size(), 3U);
}

TEST_F(HintReaderTest, Refusals) {
  EXPECT_THROW(hints("8.9,20,yes\n"), InputError);
  EXPECT_THROW(hints("20,101.1,yes\n"), InputError);
  EXPECT_THROW(hints("20,20,yes\n"), InputError);
  EXPECT_THROW(hints("20,30,Yes\n"), InputError);
  EXPECT_THROW(hints("20,30,\n"), InputError);
}

}  // namespace
}  // namespace wainscot
