#include "apps/guess_questions.hpp"

#include <sstream>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

std::size_t answer_to(const std::string& typed, std::string* shown = nullptr) {
  std::istringstream in(typed);
  std::ostringstream out;
  const GuessedItem item{"left wheel", "3", "no name says it", 80, {"4"}, ""};
  const std::size_t answer = guess_questions(in, out)(item, {"3", "4"});
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

TEST(GuessQuestions, AnythingElseIsTheLikelierOne) {
  for (const char* typed : {"", "\n", "3\n", "0\n", "yes\n", "-1\n"}) EXPECT_EQ(answer_to(typed), 0U) << typed;
}

}  // namespace
}  // namespace wainscot
