#include "apps/help_text.hpp"

#include <algorithm>
#include <cstdlib>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "apps/filled_lines.hpp"
#include "io/number_reader.hpp"

namespace wainscot {
namespace {

constexpr std::size_t narrowest = 40;    // two columns need as much
constexpr std::size_t widest = 100;      // longer lines are hard to read; chosen by hand
constexpr std::size_t usual_width = 80;  // of a terminal, common practice, no source
constexpr std::size_t margin = 2;
constexpr std::size_t longest_name =
    22;  // of an option with its value, in the first column; longer ones have a line to themselves

std::string indented(std::string_view text, std::size_t indentation, std::size_t width) {
  std::string all;
  for (const std::string& line : filled_lines(text, width - indentation)) {
    all += std::string(line.empty() ? 0 : indentation, ' ') + line + "\n";
  }
  return all;
}

/// A name and, beside it or below, what it means.
std::string entry(const std::string& name, const std::string& what, std::size_t column, std::size_t width) {
  const std::string text = indented(what, column, width);
  if (margin + characters(name) + margin > column) return indented(name, margin, width) + text;
  return std::string(margin, ' ') + name + std::string(column - margin - characters(name), ' ') +
         text.substr(std::min(column, text.size()));
}

using Entries = std::vector<std::pair<std::string, std::string>>;

std::string entries_text(const std::string& title, const Entries& entries, std::size_t width) {
  if (entries.empty()) return {};
  std::size_t longest = 0;
  for (const auto& [name, what] : entries) {
    if (characters(name) <= longest_name) longest = std::max(longest, characters(name));
  }
  const std::size_t column = std::min(margin + longest + margin, width / 2);
  std::string text = "\n" + title + ":\n";
  for (const auto& [name, what] : entries) text += entry(name, what, column, width);
  return text;
}

std::string options_text(const std::string& title, const std::vector<OptionWords>& options, std::size_t width) {
  Entries entries;
  for (const OptionWords& option : options) entries.emplace_back(named_with_value(option), option.what);
  return entries_text(title, entries, width);
}

std::string note_text(const std::string& line, std::size_t width) {
  const std::size_t indentation = std::min(line.find_first_not_of(' '), line.size());
  return indented(line, indentation, width);
}

/// `line` with its blanks between an option and the value of it as `held`, which keeps them on one line.
std::string with_values_held(std::string line, char held) {
  bool after_option = false;
  for (std::size_t begin = 0; begin < line.size();) {
    const std::size_t end = std::min(line.find(' ', begin), line.size());
    const bool is_option = line[begin] == '-';
    if (after_option && !is_option) line[begin - 1] = held;
    after_option = is_option;
    begin = end + 1;
  }
  return line;
}

/// As it is where it fits; else broken as a shell reads it.
std::string example_text(const std::string& line, std::size_t width) {
  constexpr std::string_view goes_on = " \\";
  constexpr std::size_t deeper = 6;
  constexpr char held = '\x1f';  // which no example has
  if (characters(line) <= width) return line + "\n";
  std::string text;
  std::vector<std::string> parts = filled_lines(with_values_held(line, held), width - deeper - goes_on.size());
  for (std::string& part : parts) {
    std::replace(part.begin(), part.end(), held, ' ');
    const bool is_last = &part == &parts.back();
    text += fmt::format("{}{}{}\n", std::string(text.empty() ? margin : deeper, ' '), part, is_last ? "" : goes_on);
  }
  return text;
}

}  // namespace

std::string help_text(const CommandWords& command, std::size_t width) {
  width = std::max(width, narrowest);
  std::string text = indented(command.what, 0, width);
  text += "\n" + indented("Usage: " + call_line(command), 0, width);
  text += options_text("What it works on", command.arguments, width);
  text += options_text("Options", command.options, width);
  Entries commands;
  for (const CommandWords& inner : command.commands) {
    commands.emplace_back(last_word(inner), inner.what);
  }
  text += entries_text("Commands", commands, width);
  if (!commands.empty()) text += "\n" + indented(command.name + " COMMAND --help says more of each.", 0, width);
  if (!command.notes.empty()) text += "\n";
  for (const std::string& line : command.notes) text += note_text(line, width);
  if (!command.examples.empty()) text += "\nExample:\n";
  for (const std::string& line : command.examples) text += example_text(line, width);
  return text;
}

std::size_t help_width() {
  std::size_t width = usual_width;
  winsize terminal{};
  const char* const columns = std::getenv("COLUMNS");
  double number = 0.0;
  if (ioctl(STDOUT_FILENO, TIOCGWINSZ, &terminal) == 0 && terminal.ws_col > 0) {
    width = terminal.ws_col;
  } else if (columns != nullptr && read_number(columns, number) == NumberFault::none && number >= 1.0) {
    width = static_cast<std::size_t>(std::min(number, static_cast<double>(widest)));
  }
  return std::clamp(width, narrowest, widest);
}

}  // namespace wainscot
