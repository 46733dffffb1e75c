// The program that the build runs, and its pages by those who read them: man and mandoc, where they are installed.

#include <cstdlib>
#include <filesystem>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "apps/command_line.hpp"
#include "apps/command_words.hpp"
#include "apps/packages/man_page.hpp"
#include "tests/apps/command_line.hpp"
#include "tests/apps/has.hpp"

namespace wainscot {
namespace {

class Manual : public testing::Test {
 protected:
  Manual() : program_(command_words(*command_line())) {
    EXPECT_EQ(status_of(fmt::format("'{}' '{}'", WAINSCOT_MANUAL, folder_.path().string())), 0);
  }

  static int status_of(const std::string& command) { return std::system((command + " >/dev/null 2>&1").c_str()); }
  std::string page_of(const CommandWords& command) const { return content(page_file(command)); }
  std::filesystem::path page_file(const CommandWords& command) const {
    return folder_.path() / "man" / man_page_name(command);
  }

  ReaderFolder folder_;
  CommandWords program_;
};

TEST_F(Manual, EveryOptionStandsInThePageOfItsCommand) {
  EXPECT_TRUE(has(page_of(program_), WAINSCOT_VERSION));
  for (const CommandWords& command : program_.commands) {
    const std::string page = page_of(command);
    for (const OptionWords& option : command.options) {
      std::string name = option.names.back();
      for (std::size_t at = name.find('-'); at != std::string::npos; at = name.find('-', at + 2)) name.insert(at, "\\");
      EXPECT_TRUE(has(page, "\\fB" + name + "\\fR")) << command.name << name;
    }
  }
}

TEST_F(Manual, NeitherManNorMandocHasAnythingToSay) {
  const bool man = status_of("command -v man") == 0;
  const bool mandoc = status_of("command -v mandoc") == 0;
  if (!man && !mandoc) GTEST_SKIP() << "neither man nor mandoc is installed";
  std::vector<CommandWords> all = program_.commands;
  all.push_back(program_);
  for (const CommandWords& command : all) {
    const std::string said = (folder_.path() / "said").string();
    const std::string page = page_file(command).string();
    if (man)
      std::system(
          fmt::format(
              "MANROFFSEQ= MANWIDTH=80 LC_ALL=C.UTF-8 man --warnings -E UTF-8 -l -Tutf8 -Z '{}' 2>'{}' >/dev/null",
              page, said)
              .c_str());
    EXPECT_EQ(content(said), "") << command.name;
    if (mandoc) std::system(fmt::format("mandoc -T lint '{}' >'{}' 2>&1", page, said).c_str());
    EXPECT_EQ(content(said), "") << command.name;
  }
}

TEST_F(Manual, CompletionsForBothShells) {
  EXPECT_TRUE(has(content(folder_.path() / "bash" / "wainscot"), "complete -F _wainscot wainscot"));
  EXPECT_TRUE(has(content(folder_.path() / "zsh" / "_wainscot"), "#compdef wainscot"));
}

TEST_F(Manual, AFolderIsNeeded) {
  EXPECT_NE(status_of(fmt::format("'{}'", WAINSCOT_MANUAL)), 0);
  EXPECT_NE(status_of(fmt::format("'{}' /dev/null/none", WAINSCOT_MANUAL)), 0);
}

}  // namespace
}  // namespace wainscot
