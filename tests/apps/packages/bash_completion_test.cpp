// By bash itself; `compopt`, which works at a terminal only, says here what it was told.

#include "apps/packages/bash_completion.hpp"

#include <cstdlib>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "apps/command_line.hpp"
#include "tests/apps/command_line.hpp"
#include "tests/apps/has.hpp"

namespace wainscot {
namespace {

class BashCompletion : public testing::Test {
 protected:
  BashCompletion() { folder_.write("wainscot", bash_completion(command_words(*command_line()))); }

  /// What is offered for the last of the words, between blanks.
  std::string offered(const std::string& words) const {
    const std::string script = fmt::format(
        "source wainscot; compopt() {{ echo \"$2\"; }}; COMP_WORDS=(wainscot {}); "
        "COMP_CWORD=$((${{#COMP_WORDS[@]}} - 1)); _wainscot && echo \"${{COMPREPLY[@]}}\"",
        words);
    const std::string command = fmt::format("cd '{}' && bash -euc '{}' >out 2>&1", folder_.path().string(), script);
    EXPECT_EQ(std::system(command.c_str()), 0) << words << content(folder_.path() / "out");
    std::string text = " " + content(folder_.path() / "out");
    for (char& c : text) c = c == '\n' ? ' ' : c;
    return text;
  }

  ReaderFolder folder_;
};

TEST_F(BashCompletion, Commands) {
  EXPECT_EQ(offered("bu"), " build ");
  EXPECT_EQ(offered("--v"), " --version ");
  EXPECT_TRUE(has(offered("\"\""), " locate "));
  EXPECT_EQ(offered("help exp"), " explain export ");
}

TEST_F(BashCompletion, Options) {
  EXPECT_EQ(offered("build my-drive --out flat --cell"), " --cell-size ");
  for (const CommandWords& command : command_words(*command_line()).commands) {
    const std::string all = offered(command.name.substr(command.name.rfind(' ') + 1) + " --");
    for (const OptionWords& option : command.options) {
      EXPECT_TRUE(has(all, " " + option.names.back() + " ")) << command.name << option.names.back();
    }
  }
}

TEST_F(BashCompletion, Values) {
  EXPECT_EQ(offered("export flat --image p"), " png pgm ");
  EXPECT_EQ(offered("export flat --image = t"), " tif ");
  EXPECT_TRUE(has(offered("export flat --image ="), " png tif pgm "));
  EXPECT_TRUE(has(offered("build drive --out fl"), " dirnames "));
  EXPECT_TRUE(has(offered("build drive --timings = t"), " default "));
  EXPECT_EQ(offered("build drive --threads 1"), "  ");
}

TEST_F(BashCompletion, WhatACommandWorksOn) {
  EXPECT_TRUE(has(offered("build my"), " dirnames "));
  EXPECT_TRUE(has(offered("convert my"), " default "));
  EXPECT_EQ(offered("nosuch my"), "  ");
}

}  // namespace
}  // namespace wainscot
