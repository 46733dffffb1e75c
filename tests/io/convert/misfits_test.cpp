#include "io/convert/misfits.hpp"

#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

class MisfitsTest : public testing::Test {
 protected:
  MisfitsTest() { lines_.next(line_); }
  std::string finish() {
    std::vector<std::string> warnings;
    try {
      misfits_.finish(warnings);
    } catch (const InputError& error) {
      return std::string("refused: ") + error.what();
    }
    return warnings.empty() ? "" : warnings.front();
  }
  ReaderFolder folder_;
  std::vector<std::string> log_warnings_;
  LogLines lines_{folder_.write("a.log", "x\n"), log_warnings_};
  std::string_view line_;
  Misfits misfits_{"wheels"};
};

TEST_F(MisfitsTest, AFewAreTold) {
  EXPECT_EQ(finish(), "");
  for (int i = 0; i < 20; ++i) misfits_.count_fitting();
  for (int i = 0; i < 3; ++i) misfits_.count(lines_, "is odd");
  EXPECT_NE(finish().find("a.log:1: is odd; left out, as 3 of 23 lines for wheels"), std::string::npos) << finish();
}

TEST_F(MisfitsTest, OneInAHundredIsBorne) {
  for (int i = 0; i < 990; ++i) misfits_.count_fitting();
  for (int i = 0; i < 10; ++i) misfits_.count(lines_, "is odd");
  EXPECT_EQ(finish().rfind("refused", 0), std::string::npos);
  misfits_.count(lines_, "is odd");
  EXPECT_NE(finish().find("refused"), std::string::npos);
  EXPECT_NE(
      finish().find("11 of 1,001 lines do not fit, so the log is otherwise than columns.yaml says: correct wheels"),
      std::string::npos)
      << finish();
}

TEST_F(MisfitsTest, NoneOfTheFirstTenIsEnough) {
  for (int i = 0; i < 9; ++i) misfits_.count(lines_, "is odd");
  EXPECT_THROW(misfits_.count(lines_, "is odd"), InputError);
}

TEST_F(MisfitsTest, NoneAtAllOfAShortLogIsTooFew) {
  misfits_.count(lines_, "is odd");
  EXPECT_NE(finish().find("refused"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
