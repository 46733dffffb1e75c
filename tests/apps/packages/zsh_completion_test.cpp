// The text; tests/apps/packages/completion_check.py tries it in a zsh.

#include "apps/packages/zsh_completion.hpp"

#include <cstdlib>
#include <string>

#include <gtest/gtest.h>

#include "apps/command_line.hpp"
#include "tests/apps/has.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

TEST(ZshCompletion, SpecificationsOfOptionsAndArguments) {
  CommandWords program;
  CommandWords paint;
  paint.name = "shop paint";
  paint.what = "Paint: the shop's walls.";
  paint.arguments = {{{"WALL"}, "MAP", "", {}, {}, true}, {{"OTHER"}, "OTHER", "", {}, {}}};
  paint.options = {{{"-h", "--help"}, "", "print this help and stop", {}, {}},
                   {{"--gloss"}, "KIND", "[how]", {"mat", "silk"}, {"--white"}},
                   {{"--brush"}, "FILE", "the painter's", {}, {}, false, false, true}};
  program.commands = {paint};
  const std::string script = zsh_completion(program);
  for (const std::string part :
       {R"('paint:Paint\: the shop'\''s walls.')", R"('(- *)-h[print this help and stop]')",
        R"('(--white --gloss)--gloss=[\[how\]]:KIND:(mat silk)')", R"('*--brush=[the painter'\''s]:FILE:_files')",
        R"('1:MAP:_files -/')", R"('2::OTHER:_files')"}) {
    EXPECT_TRUE(has(script, part)) << part << script;
  }
}

TEST(ZshCompletion, EveryOptionIsThereAndZshReadsIt) {
  const CommandWords program = command_words(*command_line());
  const std::string script = zsh_completion(program);
  for (const CommandWords& command : program.commands) {
    for (const OptionWords& option : command.options)
      EXPECT_TRUE(has(script, option.names.back() + (option.value.empty() ? "[" : "=["))) << option.names.back();
  }
  if (std::system("command -v zsh >/dev/null") != 0) GTEST_SKIP() << "zsh is not installed";
  const ReaderFolder folder;
  EXPECT_EQ(std::system(("zsh -n '" + folder.write("_wainscot", script).string() + "'").c_str()), 0);
}

}  // namespace
}  // namespace wainscot
