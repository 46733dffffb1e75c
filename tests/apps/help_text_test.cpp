#include "apps/help_text.hpp"

#include <cstdlib>
#include <regex>
#include <sstream>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "apps/command_line.hpp"
#include "apps/filled_lines.hpp"

namespace wainscot {
namespace {

/// The program and all of its commands.
std::vector<CommandWords> everything() {
  const CommandWords program = command_words(*command_line());
  std::vector<CommandWords> all = program.commands;
  all.push_back(program);
  return all;
}

CommandWords small_command() {
  CommandWords command;
  command.name = "shop paint";
  command.what = "Paint a wall, or several of them.";
  command.arguments = {{{"WALL"}, "WALL", "what to paint (needed)", {}, {}, true, true, true}};
  command.options = {{{"-h", "--help"}, "", "print this help and stop", {}, {}},
                     {{"--colour"}, "NAME", "which of the colours that the shop has in store today", {}, {}}};
  command.notes = {"Let it dry."};
  command.examples = {"  shop paint hall  # twice", "  shop paint hall kitchen bath cellar stairs --colour white"};
  return command;
}

TEST(HelpText, Layout) {
  EXPECT_EQ(help_text(small_command(), 50),
            "Paint a wall, or several of them.\n"
            "\n"
            "Usage: shop paint WALL... [options]\n"
            "\n"
            "What it works on:\n"
            "  WALL...  what to paint (needed)\n"
            "\n"
            "Options:\n"
            "  -h, --help     print this help and stop\n"
            "  --colour NAME  which of the colours that the\n"
            "                 shop has in store today\n"
            "\n"
            "Let it dry.\n"
            "\n"
            "Example:\n"
            "  shop paint hall  # twice\n"
            "  shop paint hall kitchen bath cellar stairs \\\n"
            "      --colour white\n");
}

TEST(HelpText, NoLineIsWiderThanAsked) {
  for (const CommandWords& command : everything()) {
    for (const std::size_t width : {40U, 47U, 63U, 80U, 100U}) {
      std::istringstream text(help_text(command, width));
      for (std::string line; std::getline(text, line);) {
        EXPECT_LE(characters(line), width) << command.name << ": " << line;
        EXPECT_FALSE(line.ends_with(' ')) << command.name << ": " << line;
      }
    }
  }
}

TEST(HelpText, NoWordOfTheLibraryRemains) {
  const std::regex words(
      R"(\b(TEXT|INT|UINT|FLOAT|BOOLEAN|REQUIRED|POSITIVE|NONNEGATIVE|OPTIONS|SUBCOMMAND|Positionals|Excludes|Needs|Env)\b|)"
      R"(\bin \[|:\{)");
  for (const CommandWords& command : everything()) {
    const std::string text = help_text(command, 100);
    std::smatch found;
    EXPECT_FALSE(std::regex_search(text, found, words)) << command.name << ": " << found.str();
  }
}

TEST(HelpText, EveryOptionStandsInItAndIsExplained) {
  for (const CommandWords& command : everything()) {
    const std::string text = help_text(command, 100);
    for (const std::vector<OptionWords>& options : {command.arguments, command.options}) {
      for (const OptionWords& option : options) {
        EXPECT_NE(text.find("\n  " + named_with_value(option)), std::string::npos) << command.name << option.names[0];
        EXPECT_GE(option.what.size(), 10U) << command.name << option.names[0];
      }
    }
  }
}

TEST(HelpText, ExamplesAreGivenAsTheyAreTyped) {
  for (const CommandWords& command : everything()) {
    EXPECT_FALSE(command.examples.empty()) << command.name;
    std::string typed;
    std::istringstream text(help_text(command, 60));
    for (std::string line; std::getline(text, line);) {
      const bool goes_on = line.ends_with(" \\");
      typed += (typed.ends_with('\n')
                    ? line
                    : line.substr(line.find_first_not_of(' ') == std::string::npos ? 0 : line.find_first_not_of(' ')));
      goes_on ? typed.pop_back() : typed.push_back('\n');
    }
    for (const std::string& example : command.examples) {
      EXPECT_NE(typed.find(example.substr(example.find_first_not_of(' '))), std::string::npos) << example;
    }
  }
}

TEST(HelpText, TheWidthIsThatOfColumnsWhereThereIsNoTerminal) {
  const auto width_with = [](const char* columns) {
    setenv("COLUMNS", columns, 1);
    const std::size_t width = help_width();
    unsetenv("COLUMNS");
    return width;
  };
  EXPECT_EQ(width_with("64"), 64U);
  EXPECT_EQ(width_with("10"), 40U);
  EXPECT_EQ(width_with("500"), 100U);
  for (const char* wrong : {"", "wide", "-7", "0"}) EXPECT_EQ(width_with(wrong), 80U) << wrong;
}

}  // namespace
}  // namespace wainscot
