#include "apps/option_values.hpp"

#include <string>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(OptionValues, WholeNumbers) {
  const CLI::Validator check = whole_number_from(1, 1024);
  EXPECT_EQ(check.get_description(), "from 1 to 1024");
  for (const std::string fits : {"1", "7", "1024"}) EXPECT_EQ(check(fits), "") << fits;
  for (const std::string wrong : {"0", "1025", "-3", "2.5", "two", "99999999999999999999"}) {
    EXPECT_EQ(check(wrong), wrong + " is not a whole number from 1 to 1024");
  }
}

TEST(OptionValues, NumbersOfAUnit) {
  const CLI::Validator check = number_from(1e-4, 0.5, "metres");
  EXPECT_EQ(check.get_description(), "from 0.0001 to 0.5");
  for (const std::string fits : {"0.0001", "0.05", "0.5"}) EXPECT_EQ(check(fits), "") << fits;
  for (const std::string wrong : {"0", "0.51", "-0.1", "nan", "5cm"}) {
    EXPECT_EQ(check(wrong), wrong + " is not a number of metres from 0.0001 to 0.5");
  }
}

TEST(OptionValues, OneOfSeveralWords) {
  const CLI::Validator check = one_of({"png", "tif", "pgm"});
  EXPECT_EQ(check.get_description(), "one of png, tif, pgm");
  EXPECT_EQ(check(std::string("tif")), "");
  for (const std::string wrong : {"gif", "", "png, tif"}) {
    EXPECT_EQ(check(wrong), wrong + " is not one of png, tif, pgm");
  }
  EXPECT_EQ(words_to_choose(check.get_description()), (std::vector<std::string>{"png", "tif", "pgm"}));
  EXPECT_EQ(words_to_choose(one_of({"svg"}).get_description()), std::vector<std::string>{"svg"});
  EXPECT_TRUE(words_to_choose("from 1 to 1024").empty());
}

}  // namespace
}  // namespace wainscot
