#include "apps/packages/man_page.hpp"

#include <algorithm>
#include <cctype>
#include <cstddef>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "apps/filled_lines.hpp"

namespace wainscot {
namespace {

constexpr std::size_t source_width = 72;  // mandoc(1) asks for lines of at most 80 bytes, escapes among them
constexpr std::size_t long_word = 30;     // words beyond it may be parted at their commas, as lists of columns

/// Characters that troff would change, or take for its own.
std::string escaped(std::string_view text, bool verbatim) {
  std::string all;
  for (const char c : text) {
    switch (c) {
      case '\\':
        all += "\\e";
        break;
      case '~':
        all += "\\(ti";
        break;
      case '^':
        all += "\\(ha";
        break;
      case '-':
        all += verbatim ? "\\-" : "-";
        break;
      case '\'':
        all += verbatim ? "\\(aq" : "'";
        break;
      default:
        all += c;
    }
  }
  return all;
}

std::string word_in_prose(std::string_view word) {
  const bool is_option = word.find("--") != std::string_view::npos;
  std::string text = escaped(word, is_option);
  if (characters(word) <= long_word) return text;
  for (std::size_t at = text.find(','); at != std::string::npos; at = text.find(',', at + 3))
    text.insert(at + 1, "\\:");
  return text;
}

/// A line of prose; none begins with what troff takes for a request.
std::string prose_line(const std::string& line) {
  std::string text;
  for (std::size_t begin = 0; begin <= line.size();) {
    const std::size_t end = std::min(line.find(' ', begin), line.size());
    text += (begin == 0 ? "" : " ") + word_in_prose(std::string_view(line).substr(begin, end - begin));
    begin = end + 1;
  }
  return (text.starts_with('.') || text.starts_with('\'') ? "\\&" : "") + text + "\n";
}

/// A paragraph, each sentence on lines of its own, as troff wants them.
std::string prose(std::string_view text) {
  std::string all;
  while (!text.empty()) {
    std::size_t end = text.find(". ");
    end = end == std::string_view::npos ? text.size() : end + 1;
    for (const std::string& line : filled_lines(text.substr(0, end), source_width)) all += prose_line(line);
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return all;
}

/// What stands in the NAME section, and in whatis(1): the first statement.
std::string in_short(const CommandWords& command) {
  std::string text = command.what.substr(0, std::min(command.what.find(". "), command.what.find(": ")));
  if (text.ends_with('.')) text.pop_back();
  text.front() = static_cast<char>(std::tolower(static_cast<unsigned char>(text.front())));
  return text;
}

std::string dashed(const std::string& name) {
  std::string text = name;
  std::replace(text.begin(), text.end(), ' ', '-');
  return text;
}

/// "DRIVE --out MAP [options]" with what is typed as it is in bold, and what stands for something in italics.
std::string synopsis(const CommandWords& command) {
  std::string line = "\\fB" + escaped(command.name, true) + "\\fR";
  const std::string call = call_line(command);
  for (std::size_t begin = command.name.size(); begin < call.size();) {
    const std::size_t end = std::min(call.find(' ', begin + 1), call.size());
    const std::string word = call.substr(begin + 1, end - begin - 1);
    line += fmt::format(" \\f{}{}\\fR", word.starts_with('-') ? 'B' : 'I', escaped(word, true));
    begin = end;
  }
  return line + "\n";
}

std::string tagged(const std::string& tag, const std::string& what) { return ".TP\n" + tag + "\n" + prose(what); }

/// Names in bold, the value in italics.
std::string option_tag(const OptionWords& option) {
  const bool is_typed = option.names.front().starts_with('-');
  std::string tag;
  for (const std::string& name : option.names) {
    tag += fmt::format("{}\\f{}{}\\fR", tag.empty() ? "" : ", ", is_typed ? 'B' : 'I', escaped(name, true));
  }
  if (is_typed && !option.value.empty()) tag += " \\fI" + escaped(option.value, true) + "\\fR";
  return option.several ? tag + "..." : tag;
}

std::string option_section(const std::string& title, const std::vector<OptionWords>& options) {
  if (options.empty()) return {};
  std::string text = ".SH " + title + "\n";
  for (const OptionWords& option : options) text += tagged(option_tag(option), option.what);
  return text;
}

std::string command_section(const std::vector<CommandWords>& commands) {
  if (commands.empty()) return {};
  std::string text = ".SH COMMANDS\n";
  for (const CommandWords& command : commands) {
    text += tagged("\\fB" + escaped(last_word(command), true) + "\\fR", command.what);
  }
  return text;
}

std::string note_section(const std::vector<std::string>& notes) {
  constexpr std::size_t indentation_of_names = 2;
  std::string text = notes.empty() ? "" : ".SH NOTES\n";
  for (const std::string& line : notes) {
    const std::size_t indentation = line.find_first_not_of(' ');
    if (indentation == std::string::npos) continue;
    const std::string words = line.substr(indentation);
    if (indentation == indentation_of_names) {
      text += ".TP\n\\fB" + escaped(words, true) + "\\fR\n";
    } else {
      text += (indentation == 0 && &line != &notes.front() ? ".PP\n" : "") + prose(words);
    }
  }
  return text;
}

std::string example_section(const std::vector<std::string>& examples) {
  if (examples.empty()) return {};
  std::string text = ".SH EXAMPLES\n.nf\n";
  for (const std::string& line : examples) {
    const std::size_t indentation = std::min(line.find_first_not_of(' '), line.size());
    text += escaped(line.substr(indentation), true) + "\n";
  }
  return text + ".fi\n";
}

std::string see_also(const CommandWords& command) {
  std::string text = ".SH SEE ALSO\n";
  if (command.commands.empty()) return text + ".BR wainscot (1)\n";
  for (const CommandWords& inner : command.commands) {
    text +=
        fmt::format(".BR {} (1){}\n", escaped(dashed(inner.name), true), &inner == &command.commands.back() ? "" : ",");
  }
  return text;
}

}  // namespace

std::string man_page_name(const CommandWords& command) { return dashed(command.name) + ".1"; }

std::string man_page(const CommandWords& command, const Release& release) {
  std::string title = dashed(command.name);
  std::transform(title.begin(), title.end(), title.begin(), [](unsigned char c) { return std::toupper(c); });
  std::string page = fmt::format(".TH {} 1 {} \"wainscot {}\"\n", escaped(title, true), release.date, release.version);
  page += ".SH NAME\n" + escaped(dashed(command.name), true) + " \\-\n" + prose(in_short(command));
  page += ".SH SYNOPSIS\n" + synopsis(command);
  page += ".SH DESCRIPTION\n" + prose(command.what);
  page += option_section("ARGUMENTS", command.arguments) + option_section("OPTIONS", command.options);
  page += command_section(command.commands) + note_section(command.notes) + example_section(command.examples);
  return page + see_also(command);
}

}  // namespace wainscot
