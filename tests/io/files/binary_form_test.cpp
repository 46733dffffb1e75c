#include "io/files/binary_form.hpp"

#include <gtest/gtest.h>

#include <string>

namespace wainscot {
namespace {

using namespace std::string_view_literals;

TEST(BinaryForm, TextIsNothingElse) {
  EXPECT_EQ(binary_form("time_s,left\n1,2\n"), "");
  EXPECT_EQ(binary_form("\ttabs and \x0c\r\n"), "");
  EXPECT_EQ(binary_form("text\nthen \x01 behind the first line"), "");
  EXPECT_EQ(binary_form(""), "");
}

TEST(BinaryForm, FilesAreKnownByTheirStart) {
  EXPECT_NE(binary_form("PK\x03\x04..").find("ZIP"), std::string::npos);
  EXPECT_NE(binary_form("\x1f\x8b\x08").find("gzip"), std::string::npos);
  EXPECT_NE(binary_form("SQLite format 3\0"sv).find("database"), std::string::npos);
  EXPECT_NE(binary_form("t\0i\0m\0e\0"sv).find("UTF-16"), std::string::npos);
  EXPECT_NE(binary_form("\0t\0i\0m\0e"sv).find("UTF-16"), std::string::npos);
  EXPECT_NE(binary_form("ab\x01"
                        "cd\n")
                .find("binary"),
            std::string::npos);
}

// A robot's log may begin in the middle of serial noise.
TEST(BinaryForm, NoiseIsNoForeignForm) {
  EXPECT_EQ(foreign_form("ab\x01\x80"
                         "cd\n"),
            "");
  EXPECT_NE(foreign_form("PK\x03\x04..").find("ZIP"), std::string::npos);
  EXPECT_NE(foreign_form("\xff\xfet\0"sv).find("UTF-16"), std::string::npos);
}

TEST(BinaryForm, SomeNoiseDoesNotMakeATextBinary) {
  const std::string text(500, 'a');
  EXPECT_FALSE(is_mostly_binary(text + std::string(20, '\0') + "\t\r\n"));
  EXPECT_TRUE(is_mostly_binary(text + std::string(30, '\0')));
  EXPECT_FALSE(is_mostly_binary(""));
}

}  // namespace
}  // namespace wainscot
