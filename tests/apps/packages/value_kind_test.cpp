#include "apps/packages/value_kind.hpp"

#include <set>
#include <string>

#include <gtest/gtest.h>

#include "apps/command_line.hpp"

namespace wainscot {
namespace {

ValueKind kind_of(const std::string& value) { return value_kind({{"--option"}, value, "", {}, {}}); }

TEST(ValueKind, ByTheWordThatStandsForIt) {
  for (const std::string word : {"MAP", "DRIVE", "FOLDER", "NEW"}) EXPECT_EQ(kind_of(word), ValueKind::folder) << word;
  for (const std::string word : {"FILE", "LOG", "PAGE.html", "PICTURE.svg|PICTURE.png"}) {
    EXPECT_EQ(kind_of(word), ValueKind::file) << word;
  }
  for (const std::string word : {"ADDRESS", "N", "METRES", "X,Y", ""})
    EXPECT_EQ(kind_of(word), ValueKind::nothing) << word;
  EXPECT_EQ(value_kind({{"--image"}, "KIND", "", {"png", "tif"}, {}}), ValueKind::words);
}

TEST(ValueKind, OfAllArguments) {
  CommandWords command;
  EXPECT_EQ(argument_kind(command), ValueKind::nothing);
  command.arguments = {{{"FROM"}, "X,Y", "", {}, {}}, {{"MAP"}, "MAP", "", {}, {}}};
  EXPECT_EQ(argument_kind(command), ValueKind::folder);
  command.arguments.push_back({{"LOG"}, "LOG", "", {}, {}});
  EXPECT_EQ(argument_kind(command), ValueKind::file);
}

TEST(ValueKind, EveryWordOfTheProgramIsKnownHere) {
  const std::set<std::string> no_names_of_files = {
      "ADDRESS",          "N",      "METRES", "X,Y",    "X,Y,DEG",      "SECONDS",
      "PIXELS",           "NUMBER", "FACTOR", "RUN",    "MB",           "TIME",
      "COMMAND",          "NAME",   "FORM",   "DEFECT", "DEFECT=VALUE", "KEY=VALUE",
      "WALL,FREE,UNSEEN", ""};
  for (const CommandWords& command : command_words(*command_line()).commands) {
    for (const auto& options : {command.arguments, command.options}) {
      for (const OptionWords& option : options) {
        EXPECT_TRUE(value_kind(option) != ValueKind::nothing || no_names_of_files.count(option.value) > 0)
            << command.name << " " << named_with_value(option) << ": is it a file, a folder or neither?";
      }
    }
  }
}

}  // namespace
}  // namespace wainscot
