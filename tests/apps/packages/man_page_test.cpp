#include "apps/packages/man_page.hpp"

#include <string>

#include <gtest/gtest.h>

#include "apps/command_line.hpp"
#include "tests/apps/has.hpp"

namespace wainscot {
namespace {

const Release release{"1.2.3", "2026-11-30"};

TEST(ManPage, OfACommand) {
  CommandWords command;
  command.name = "shop paint";
  command.what = "Paint a wall: all of it. It's quick.";
  command.arguments = {{{"WALL"}, "WALL", "what to paint", {}, {}, true, true, true}};
  command.options = {{{"-h", "--help"}, "", "see --colour", {}, {}}, {{"--colour"}, "NAME", "a\\b ~ ^", {}, {}}};
  command.notes = {".dots begin it. Colours:", "  off-white", "      dull"};
  command.examples = {"  shop paint 'hall' --colour x~y"};
  EXPECT_EQ(man_page_name(command), "shop-paint.1");
  EXPECT_EQ(man_page(command, release),
            ".TH SHOP\\-PAINT 1 2026-11-30 \"wainscot 1.2.3\"\n"
            ".SH NAME\n"
            "shop\\-paint \\-\n"
            "paint a wall\n"
            ".SH SYNOPSIS\n"
            "\\fBshop paint\\fR \\fIWALL...\\fR \\fI[options]\\fR\n"
            ".SH DESCRIPTION\n"
            "Paint a wall: all of it.\n"
            "It's quick.\n"
            ".SH ARGUMENTS\n"
            ".TP\n"
            "\\fIWALL\\fR...\n"
            "what to paint\n"
            ".SH OPTIONS\n"
            ".TP\n"
            "\\fB\\-h\\fR, \\fB\\-\\-help\\fR\n"
            "see \\-\\-colour\n"
            ".TP\n"
            "\\fB\\-\\-colour\\fR \\fINAME\\fR\n"
            "a\\eb \\(ti \\(ha\n"
            ".SH NOTES\n"
            "\\&.dots begin it.\n"
            "Colours:\n"
            ".TP\n"
            "\\fBoff\\-white\\fR\n"
            "dull\n"
            ".SH EXAMPLES\n"
            ".nf\n"
            "shop paint \\(aqhall\\(aq \\-\\-colour x\\(tiy\n"
            ".fi\n"
            ".SH SEE ALSO\n"
            ".BR wainscot (1)\n");
}

TEST(ManPage, LongWordsMayBePartedAtCommas) {
  CommandWords command;
  command.name = "shop";
  command.what = "Make a table time_s,x_m,y_m,heading_rad,sd_x_m,sd_y_m of all walls.";
  EXPECT_TRUE(has(man_page(command, release), "time_s,\\:x_m,\\:y_m,\\:heading_rad,\\:sd_x_m,\\:sd_y_m of all walls"));
}

TEST(ManPage, OfTheProgramNamesItsCommands) {
  const CommandWords program = command_words(*command_line());
  const std::string page = man_page(program, release);
  for (const CommandWords& command : program.commands) {
    const std::string name = command.name.substr(command.name.rfind(' ') + 1);
    EXPECT_TRUE(has(page, ".TP\n\\fB" + name + "\\fR\n")) << name;
    EXPECT_TRUE(has(page, ".BR wainscot\\-" + name + " (1)")) << name;
  }
}

}  // namespace
}  // namespace wainscot
