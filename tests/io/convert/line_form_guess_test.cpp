#include "io/convert/line_form_guess.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(LineFormGuess, SeesWhatSeparates) {
  EXPECT_EQ(guess_line_form({"1,2,3", "2,3,4"}).file.separator, Separator::comma);
  EXPECT_EQ(guess_line_form({"1,5;2,5;3", "2;3;4,25"}).file.separator, Separator::semicolon);
  EXPECT_EQ(guess_line_form({"1\t2\t3", "2\t\t4"}).file.separator, Separator::tab);
  EXPECT_EQ(guess_line_form({"W 12.5  3 4", "W 12.6  3 5"}).file.separator, Separator::blanks);
  EXPECT_EQ(guess_line_form({"E, 12.5, 3", "E, 12.6, 4"}).file.separator, Separator::comma);
}

TEST(LineFormGuess, TellsJsonByItsBrace) {
  EXPECT_EQ(guess_line_form({"# a comment", "{\"t\": 1}"}).file.form, LineForm::json);
  EXPECT_EQ(guess_line_form({"1,2"}).file.form, LineForm::table);
}

TEST(LineFormGuess, AHeaderHasWordsOverNumbers) {
  EXPECT_TRUE(guess_line_form({"zeit;links;rechts", "1;2;3", "2;3;4"}).file.header);
  EXPECT_TRUE(guess_line_form({"t,0,90,180", "1.0,2.5,2.6,2.7"}).file.header);
  EXPECT_FALSE(guess_line_form({"1;2;3", "2;3;4"}).file.header);
  // A word in front of each line is no header.
  EXPECT_FALSE(guess_line_form({"W,1,2", "W,2,3", "S,2,3,4,5"}).file.header);
}

TEST(LineFormGuess, WhatTellsOfTheStartIsNoHeader) {
  EXPECT_FALSE(
      guess_line_form({"BOOT v3 ok", "ODO 120 5 6", "LID 130 1 2 3 4", "BAT 140 12.5", "ODO 140 6 7"}).file.header);
}

TEST(LineFormGuess, ACommentMayNameTheColumns) {
  const LineFormGuess guess = guess_line_form({"# made by hand", "# t, left, right", "1,2,3", "2,3,4"});
  EXPECT_FALSE(guess.file.header);
  EXPECT_EQ(guess.labels, (std::vector<std::string>{"t", "left", "right"}));
  EXPECT_TRUE(guess_line_form({"# only two", "1,2,3", "2,3,4"}).labels.empty());
}

}  // namespace
}  // namespace wainscot
