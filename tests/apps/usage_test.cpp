#include "apps/usage.hpp"

#include <algorithm>
#include <memory>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "apps/command_line.hpp"
#include "core/errors.hpp"
#include "tests/apps/has.hpp"

namespace wainscot {
namespace {

std::string sentence_for(std::vector<std::string> words) {
  const std::unique_ptr<CLI::App> app = command_line();
  std::reverse(words.begin(), words.end());
  try {
    app->parse(words);
  } catch (const CLI::ParseError& error) {
    return usage_sentence(*app, error);
  }
  return {};
}

TEST(Usage, NamesWhatCouldHaveBeenMeantAndWhereToLook) {
  EXPECT_EQ(sentence_for({"biuld"}), "there is no command biuld; did you mean build? See wainscot --help");
  EXPECT_TRUE(has(sentence_for({"build", "drive", "--outt", "map"}), "there is no option --outt; did you mean --out?"));
  EXPECT_TRUE(has(sentence_for({"build", "a", "b", "--out", "c"}), "b is one word too many"));
  EXPECT_TRUE(has(sentence_for({}), "no command was given"));
}

TEST(Usage, OptionsOfABatchsCommandStandBehindTheDashes) {
  EXPECT_TRUE(has(sentence_for({"batch", "drives", "--out", "x", "build", "--cell-size", "0.1"}),
                  "write -- before the command"));
  EXPECT_TRUE(has(sentence_for({"batch", "drives", "--ot", "x"}), "did you mean --out?"));
}

TEST(Usage, HelpAndVersionAsPeopleTypeThem) {
  const std::unique_ptr<CLI::App> app = command_line();
  EXPECT_EQ(words_as_typed(*app, {"version"}), (std::vector<std::string>{"--version"}));
  EXPECT_EQ(words_as_typed(*app, {"help", "build"}), (std::vector<std::string>{"build", "--help"}));
  EXPECT_EQ(words_as_typed(*app, {"build", "help"}), (std::vector<std::string>{"build", "help"}));
  EXPECT_THROW(words_as_typed(*app, {"help", "biuld"}), InputError);
}

}  // namespace
}  // namespace wainscot
