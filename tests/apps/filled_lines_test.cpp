#include "apps/filled_lines.hpp"

#include <string>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

using Lines = std::vector<std::string>;

TEST(FilledLines, WordsFillLinesToTheirEnd) {
  EXPECT_EQ(filled_lines("one two three", 7), (Lines{"one two", "three"}));
  EXPECT_EQ(filled_lines("one two three", 13), Lines{"one two three"});
  EXPECT_EQ(filled_lines("one  two ", 6), (Lines{"one", "two"}));
  EXPECT_EQ(filled_lines("", 10), Lines{""});
}

TEST(FilledLines, LongWordsArePartedBehindAComma) {
  EXPECT_EQ(filled_lines("of time_s,x_m,y_m,heading_rad here", 14),
            (Lines{"of", "time_s,x_m,", "y_m,", "heading_rad", "here"}));
  EXPECT_EQ(filled_lines("abcdefgh", 3), (Lines{"abc", "def", "gh"}));
}

TEST(FilledLines, CharactersAreNotBytes) {
  EXPECT_EQ(characters("90° ± 2"), 7U);
  EXPECT_EQ(filled_lines("90° 90°", 7), Lines{"90° 90°"});
  EXPECT_EQ(filled_lines("°°°°°", 2), (Lines{"°°", "°°", "°"}));
}

}  // namespace
}  // namespace wainscot
