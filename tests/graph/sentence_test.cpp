#include "graph/sentence.hpp"

#include <string>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(Sentence, IsFormattedAndCutWhereItIsTooLong) {
  EXPECT_EQ(sentence("%d of %.1f m, %s", 3, 2.25, "so far"), "3 of 2.2 m, so far");
  const std::string longest(2000, 'x');
  EXPECT_EQ(sentence("%s", longest.c_str()), longest.substr(0, 999));
}

}  // namespace
}  // namespace wainscot
