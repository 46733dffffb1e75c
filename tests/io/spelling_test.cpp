#include "io/spelling.hpp"

#include <gtest/gtest.h>

#include <string>
#include <string_view>

namespace wainscot {
namespace {

TEST(Spelling, PrintableShowsWhatCannotBeShown) {
  using namespace std::string_view_literals;
  EXPECT_EQ(printable("a\0b\n\x7f"sv), "a\\x00b\\x0a\\x7f");
  EXPECT_EQ(printable("Büro 3"), "Büro 3");
  EXPECT_EQ(printable("\xfc"), "\\xfc");
  EXPECT_EQ(printable(std::string(100, 'a'), 10), "aaaaaaaaaa...");
}

TEST(Spelling, Utf8LengthIsOfTheFirstCharacter) {
  EXPECT_EQ(utf8_length("ab"), 1U);
  EXPECT_EQ(utf8_length("\xc3\xbc!"), 2U);
  EXPECT_EQ(utf8_length("\xe2\x82\xac!"), 3U);
  EXPECT_EQ(utf8_length("\xf0\x9f\x98\x80!"), 4U);
  EXPECT_EQ(utf8_length("\xe2\x82"), 0U);
}

TEST(Spelling, AShellWordIsQuotedWhereItMustBe) {
  EXPECT_EQ(shell_word("maps/flat-2"), "maps/flat-2");
  EXPECT_EQ(shell_word("my map"), "'my map'");
  EXPECT_EQ(shell_word("Ann's"), "'Ann'\\''s'");
  EXPECT_EQ(shell_word(""), "''");
}

// Markus Kuhn, "UTF-8 decoder capability and stress test", sections 3 and 4: what a decoder must refuse.
TEST(Spelling, PlainTextIsWellFormedUtf8) {
  EXPECT_TRUE(is_plain_text("\xce\xba\xf0\x90\x80\x80\xf4\x8f\xbf\xbf"));
  EXPECT_FALSE(is_plain_text("\x80"));              // 3.1.1 a lone continuation byte
  EXPECT_FALSE(is_plain_text("\xe2\x82"));          // 3.3.2 the last byte is missing
  EXPECT_FALSE(is_plain_text("\xfe"));              // 3.5.1 an impossible byte
  EXPECT_FALSE(is_plain_text("\xc0\xaf"));          // 4.1.1 overlong, two bytes
  EXPECT_FALSE(is_plain_text("\xe0\x80\xaf"));      // 4.1.2 overlong, three bytes
  EXPECT_FALSE(is_plain_text("\xf0\x80\x80\xaf"));  // 4.1.3 overlong, four bytes
  EXPECT_FALSE(is_plain_text("\xed\xa0\x80"));      // 5.1.1 a surrogate
  EXPECT_FALSE(is_plain_text("\xf4\x90\x80\x80"));  // 2.3.5 beyond U+10FFFF
  EXPECT_FALSE(is_plain_text("a\tb"));
}

}  // namespace
}  // namespace wainscot
