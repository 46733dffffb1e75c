#include "io/page/filled_form.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(FilledForm, WordsBecomeTheirValues) {
  EXPECT_EQ(filled_form("<p>@NAME@ in @OUT@, @NAME@</p>", {{"@NAME@", "a"}, {"@OUT@", "b"}}), "<p>a in b, a</p>");
  EXPECT_EQ(filled_form("@NAME@", {{"@NAME@", ""}}), "");
  EXPECT_EQ(filled_form("", {{"@NAME@", "a"}}), "");
}

TEST(FilledForm, WhatHasNoValueStays) {
  EXPECT_EQ(filled_form("a@b @NAM @OTHER@ NAME@", {{"@NAME@", "x"}}), "a@b @NAM @OTHER@ NAME@");
}

// A folder's name may be any text.
TEST(FilledForm, AValueIsNotReadAgain) {
  EXPECT_EQ(filled_form("@NAME@-@OUT@", {{"@NAME@", "@OUT@"}, {"@OUT@", "@NAME@"}}), "@OUT@-@NAME@");
  EXPECT_EQ(filled_form("@NA@ME@", {{"@NA@", "@NA"}, {"@NAME@", "wrong"}}), "@NAME@");
}

}  // namespace
}  // namespace wainscot
