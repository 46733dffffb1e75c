#include "io/convert/guessed_item.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(GuessedItem, WordsForHowSure) {
  EXPECT_EQ(how_sure(99), "sure");
  EXPECT_EQ(how_sure(kSurePercent), "sure");
  EXPECT_EQ(how_sure(85), "likely");
  EXPECT_EQ(how_sure(50), "doubtful");
}

}  // namespace
}  // namespace wainscot
