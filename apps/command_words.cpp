#include "apps/command_words.hpp"

#include <algorithm>
#include <set>
#include <sstream>

#include <fmt/format.h>

#include "apps/option_values.hpp"

namespace wainscot {
namespace {

constexpr const char* examples_begin = "Example:";

std::vector<std::string> names_of(const CLI::Option& option) {
  if (option.get_positional()) return {option.get_name(true, false)};
  std::vector<std::string> names;
  for (const std::string& name : option.get_snames()) names.push_back("-" + name);
  for (const std::string& name : option.get_lnames()) names.push_back("--" + name);
  return names;
}

/// Names of `others`, which the library keeps by their addresses, in the order in which the command has them.
std::vector<std::string> first_names(const CLI::App& app, const std::set<CLI::Option*>& others) {
  std::vector<std::string> names;
  for (const CLI::Option* option : app.get_options()) {
    const bool is_other = std::any_of(others.begin(), others.end(), [&](const auto* other) { return other == option; });
    if (is_other) names.push_back(names_of(*option).front());
  }
  return names;
}

OptionWords words_of_option(const CLI::App& app, const CLI::Option& option) {
  OptionWords words;
  words.names = names_of(option);
  words.needed = option.get_required();
  words.not_with = first_names(app, option.get_excludes());
  const bool many = option.get_expected_max() == CLI::detail::expected_max_vector_size;
  words.several = many && (option.get_positional() || option.get_allow_extra_args());
  words.repeatable = many;

  std::vector<std::string> more;
  if (words.needed) more.emplace_back("needed");
  if (option.get_type_size() != 0) {
    // "METRES", or "METRES:" and how the check of a value describes itself.
    const std::string type = option.get_type_name();
    const std::size_t colon = std::min(type.find(':'), type.size());
    words.value = type.substr(0, colon);
    words.last = option.get_positional() && words.value == kBehindDashes;
    if (option.get_positional() && (words.value == "TEXT" || words.last)) words.value = words.names.front();
    const std::string valid = type.substr(std::min(colon + 1, type.size()));
    words.choices = words_to_choose(valid);
    if (!valid.empty()) more.push_back(valid);
    if (!option.get_default_str().empty()) more.push_back("default " + option.get_default_str());
  }
  if (!words.not_with.empty()) more.push_back(fmt::format("not with {}", fmt::join(words.not_with, ", ")));
  const std::vector<std::string> needs = first_names(app, option.get_needs());
  if (!needs.empty()) more.push_back(fmt::format("only with {}", fmt::join(needs, ", ")));
  words.what = option.get_description();
  if (!more.empty()) words.what += fmt::format(" ({})", fmt::join(more, "; "));
  return words;
}

/// The text below the options: notes, then the line "Example:" and what follows it.
void take_apart(const std::string& footer, CommandWords& words) {
  std::istringstream text(footer);
  std::vector<std::string>* lines = &words.notes;
  for (std::string line; std::getline(text, line);) {
    if (line == examples_begin) {
      lines = &words.examples;
    } else {
      lines->push_back(line);
    }
  }
  for (std::vector<std::string>* part : {&words.notes, &words.examples}) {
    while (!part->empty() && part->back().empty()) part->pop_back();
  }
}

}  // namespace

CommandWords command_words(const CLI::App& app) {
  CommandWords words;
  words.name = app.get_parent() == nullptr ? app.get_name() : app.get_parent()->get_name() + " " + app.get_name();
  words.what = app.get_description();
  for (const CLI::Option* option : app.get_options()) {
    (option->get_positional() ? words.arguments : words.options).push_back(words_of_option(app, *option));
  }
  for (const CLI::App* command : app.get_subcommands([](const CLI::App*) { return true; })) {
    words.commands.push_back(command_words(*command));
  }
  take_apart(app.get_footer(), words);
  return words;
}

std::string last_word(const CommandWords& command) { return command.name.substr(command.name.rfind(' ') + 1); }

std::string named_with_value(const OptionWords& option) {
  std::string text = fmt::format("{}", fmt::join(option.names, ", "));
  if (option.names.front().front() == '-' && !option.value.empty()) text += " " + option.value;
  if (option.several) text += "...";
  return text;
}

std::string call_line(const CommandWords& command) {
  std::string line = command.name;
  std::string last;
  for (const OptionWords& argument : command.arguments) {
    const std::string name = named_with_value(argument);
    if (argument.last) {
      last = fmt::format(" {} {}", kBehindDashes, name);
    } else {
      line += argument.needed ? " " + name : " [" + name + "]";
    }
  }
  for (const OptionWords& option : command.options) {
    if (option.needed) line += " " + named_with_value(option);
  }
  if (!command.commands.empty()) line += " COMMAND";
  return line + " [options]" + last;
}

}  // namespace wainscot
