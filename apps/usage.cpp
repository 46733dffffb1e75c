#include "apps/usage.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "core/nearest_name.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

/// The command that was given, or the program itself.
const CLI::App& innermost_command(const CLI::App& app) {
  const std::vector<CLI::App*> given = app.get_subcommands();
  return given.empty() ? app : *given.front();
}

/// Names that could have been meant: options where the word looks like one, otherwise commands.
std::vector<std::string> known_names(const CLI::App& app, bool options) {
  std::vector<std::string> names;
  if (options) {
    for (const CLI::Option* option : innermost_command(app).get_options()) {
      for (const std::string& name : option->get_lnames()) names.push_back("--" + name);
    }
  } else {
    for (const CLI::App* command : app.get_subcommands([](const CLI::App*) { return true; })) {
      names.push_back(command->get_name());
    }
  }
  return names;
}

std::string no_such(const CLI::App& app, const std::string& word, bool is_option, const std::string& help) {
  const std::vector<std::string> names = known_names(app, is_option);
  return fmt::format("there is no {} {}; did you mean {}? See {}", is_option ? "option" : "command", printable(word),
                     names.at(nearest_name(word, names)), help);
}

/// Whether a batch was given its command, but not the dashes that set that one's options apart.
bool lacks_dashes(const CLI::App& app, const CLI::App& command) {
  if (command.get_name() != "batch") return false;
  const std::vector<std::string> words = command.get_option("COMMAND")->results();
  const std::vector<std::string> commands = known_names(app, false);
  return !words.empty() && std::find(commands.begin(), commands.end(), words.front()) != commands.end();
}

}  // namespace

std::string usage_sentence(const CLI::App& app, const CLI::ParseError& error) {
  const CLI::App& command = innermost_command(app);
  const std::string help = &command == &app ? "wainscot --help" : fmt::format("wainscot {} --help", command.get_name());
  const std::vector<std::string> surplus = app.remaining(true);
  if (!surplus.empty() && surplus.front().starts_with("--") && lacks_dashes(app, command)) {
    return "write -- before the command that is done with each drive, and its options behind it, as in wainscot batch "
           "drives --out houses -- build --cell-size 0.03; see " +
           help;
  }
  for (const std::string& word : surplus) {
    const bool is_option = word.rfind('-', 0) == 0;
    if (!is_option && &command != &app) continue;
    return no_such(app, word, is_option, help);
  }
  if (!surplus.empty() && command.get_name() == "measure") {
    return "write each point as X,Y without blanks, as in wainscot measure my-map 0.7,-1.4 0.2,2.8; see " + help;
  }
  if (!surplus.empty()) {
    return fmt::format("{} is one word too many; quote names with spaces. See {}", printable(surplus.front()), help);
  }
  if (&command == &app && app.get_subcommands().empty()) return "no command was given; see " + help;
  std::string what = error.what();
  for (char& c : what) c = c == '\n' ? ' ' : c;
  return fmt::format("{}; see {}", what, help);
}

std::vector<std::string> words_as_typed(const CLI::App& app, std::vector<std::string> words) {
  if (words.size() == 1 && words.front() == "version") words.front() = "--version";
  if (!words.empty() && words.front() == "help") {
    words.erase(words.begin());
    const std::vector<std::string> commands = known_names(app, false);
    if (!words.empty() && std::find(commands.begin(), commands.end(), words.front()) == commands.end()) {
      throw InputError(no_such(app, words.front(), false, "wainscot --help"));
    }
    words.emplace_back("--help");
  }
  return words;
}

}  // namespace wainscot
