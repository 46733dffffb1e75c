#include "apps/command_words.hpp"

#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "apps/option_values.hpp"

namespace wainscot {
namespace {

using Words = std::vector<std::string>;

class CommandWordsOfAPaintShop : public testing::Test {
 protected:
  CommandWordsOfAPaintShop() {
    shop_.set_help_flag("-h,--help", "print this help and stop");
    paint_->add_option("WALL", walls_, "what to paint")->required();
    CLI::Option* const white = paint_->add_flag("--white", white_, "no colour");
    paint_->add_option("--coats", coats_, "how often")
        ->type_name("N")
        ->check(whole_number_from(1, 9))
        ->capture_default_str();
    paint_->add_option("--gloss", gloss_, "how it shines")
        ->type_name("KIND")
        ->check(one_of({"mat", "silk"}))
        ->required();
    CLI::Option* const colour = paint_->add_option("--colour", colour_, "which")->type_name("NAME")->excludes(white);
    paint_->add_option("--brush", brushes_, "with what; may be given often")
        ->type_name("FILE")
        ->allow_extra_args(false)
        ->excludes(white)
        ->excludes(colour);
    paint_->footer("Let it dry.\n\nExample:\n  shop paint hall --gloss mat\n");
  }

  CommandWords words() const { return command_words(*paint_); }
  const OptionWords& option(const CommandWords& words, const std::string& name) const {
    for (const OptionWords& option : words.options) {
      if (option.names.back() == name) return option;
    }
    throw std::runtime_error(name);
  }

  Words walls_, brushes_;
  bool white_ = false;
  int coats_ = 2;
  std::string gloss_, colour_;
  CLI::App shop_{"Paints walls.", "shop"};
  CLI::App* paint_ = shop_.add_subcommand("paint", "Paint a wall.");
};

TEST_F(CommandWordsOfAPaintShop, Program) {
  const CommandWords shop = command_words(shop_);
  EXPECT_EQ(shop.name, "shop");
  EXPECT_EQ(shop.what, "Paints walls.");
  ASSERT_EQ(shop.commands.size(), 1U);
  EXPECT_EQ(shop.commands[0].name, "shop paint");
  EXPECT_EQ(call_line(shop), "shop COMMAND [options]");
  EXPECT_EQ(option(shop, "--help").names, (Words{"-h", "--help"}));
  EXPECT_EQ(named_with_value(option(shop, "--help")), "-h, --help");
}

TEST_F(CommandWordsOfAPaintShop, ACommandIsCalledWithWhatItNeeds) {
  EXPECT_EQ(call_line(words()), "shop paint WALL... --gloss KIND [options]");
  ASSERT_EQ(words().arguments.size(), 1U);
  EXPECT_EQ(words().arguments[0].value, "WALL");
  EXPECT_EQ(words().arguments[0].what, "what to paint (needed)");
  EXPECT_TRUE(words().arguments[0].several);
}

TEST_F(CommandWordsOfAPaintShop, RangesDefaultsAndExclusionsInPlainWords) {
  const CommandWords paint = words();
  EXPECT_EQ(option(paint, "--white").value, "");
  EXPECT_EQ(option(paint, "--coats").what, "how often (from 1 to 9; default 2)");
  EXPECT_EQ(named_with_value(option(paint, "--coats")), "--coats N");
  EXPECT_EQ(option(paint, "--gloss").what, "how it shines (needed; one of mat, silk)");
  EXPECT_EQ(option(paint, "--gloss").choices, (Words{"mat", "silk"}));
  EXPECT_EQ(option(paint, "--colour").what, "which (not with --white, --brush)");
}

TEST_F(CommandWordsOfAPaintShop, OptionsThatMayBeGivenAgainTakeOneValueEachTime) {
  const CommandWords paint = words();
  EXPECT_TRUE(option(paint, "--brush").repeatable);
  EXPECT_FALSE(option(paint, "--brush").several);
  EXPECT_EQ(option(paint, "--brush").not_with, (Words{"--white", "--colour"}));
  EXPECT_FALSE(option(paint, "--coats").repeatable);
}

TEST_F(CommandWordsOfAPaintShop, TheLastWordIsTheCommands) {
  EXPECT_EQ(words().name, "shop paint");
  EXPECT_EQ(last_word(words()), "paint");
}

TEST_F(CommandWordsOfAPaintShop, NotesAndExamples) {
  EXPECT_EQ(words().notes, Words{"Let it dry."});
  EXPECT_EQ(words().examples, Words{"  shop paint hall --gloss mat"});
}

}  // namespace
}  // namespace wainscot
