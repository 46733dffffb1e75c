#include "apps/guess_questions.hpp"

#include <optional>
#include <sstream>
#include <string>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

std::optional<std::size_t> answer_to(const std::string& typed, std::string* shown = nullptr) {
  std::istringstream in(typed);
  std::ostringstream out;
  const GuessedItem item{"left wheel", "3", "no name says it", 80, {"4"}, ""};
  const std::optional<std::size_t> answer = guess_questions(in, out)(item, {"3", "4"});
  if (shown != nullptr) *shown = out.str();
  return answer;
}

TEST(GuessQuestions, NumberedAnswers) {
  std::string shown;
  EXPECT_EQ(answer_to("2\n", &shown), 1U);
  EXPECT_NE(shown.find("left wheel"), std::string::npos);
  EXPECT_NE(shown.find("  2  4\n"), std::string::npos);
  EXPECT_EQ(answer_to("1\n"), 0U);
}

TEST(GuessQuestions, OnlyEnterIsTheLikelierOne) {
  EXPECT_EQ(answer_to("\n"), 0U);
  EXPECT_EQ(answer_to(" \r\n"), 0U);
  EXPECT_EQ(answer_to(" 2 \n"), 1U);
}

TEST(GuessQuestions, WhatIsNoAnswerIsAskedAgain) {
  for (const char* typed : {"3\n2\n", "0\nyes\n2\n", "-1\n2\n"}) {
    std::string shown;
    EXPECT_EQ(answer_to(typed, &shown), 1U) << typed;
    EXPECT_NE(shown.find("is none of the answers"), std::string::npos) << typed;
  }
}

TEST(GuessQuestions, AtTheEndOfTheInputNobodyAnswers) {
  EXPECT_EQ(answer_to(""), std::nullopt);
  EXPECT_EQ(answer_to("yes\n"), std::nullopt);
  std::istringstream in("");
  std::ostringstream out;
  const AskUser ask = guess_questions(in, out);
  const GuessedItem item{"left wheel", "3", "no name says it", 80, {"4"}, ""};
  EXPECT_EQ(ask(item, {"3", "4"}), std::nullopt);
  const std::string shown = out.str();
  EXPECT_EQ(ask(item, {"3", "4"}), std::nullopt);
  EXPECT_EQ(out.str(), shown);  // no question to nobody
}

}  // namespace
}  // namespace wainscot
