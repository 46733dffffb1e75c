#pragma once

// The words in which a command line is described: read once from the commands' own definitions, for help, man pages and
// completion alike.

#include <string>
#include <vector>

#include <CLI/CLI.hpp>

namespace wainscot {

/// The type's name of what a command takes behind two dashes: another command, with options of its own.
inline constexpr const char* kBehindDashes = "--";

/// An option, or something that a command works on.
struct OptionWords {
  std::vector<std::string> names;     ///< "-h", "--help"; of what is worked on one name, as DRIVE
  std::string value;                  ///< what is put in its place, as METRES; empty: the option takes none
  std::string what;                   ///< in a sentence, with range, default and what it does not go with
  std::vector<std::string> choices;   ///< the values that it takes; empty: others than words from a list
  std::vector<std::string> not_with;  ///< first names of others, in their own order
  bool needed = false;
  bool several = false;     ///< takes several values in a row
  bool repeatable = false;  ///< may be given again
  bool last = false;        ///< stands at the end, behind two dashes
};

/// The program, or one of its commands.
struct CommandWords {
  std::string name;  ///< as it is typed: "wainscot", "wainscot build"
  std::string what;
  std::vector<OptionWords> arguments;  ///< what it works on, in order
  std::vector<OptionWords> options;
  std::vector<CommandWords> commands;
  std::vector<std::string>
      notes;  ///< lines: a paragraph each; an indented one is a name, or, indented deeper, what it means
  std::vector<std::string> examples;  ///< lines to be typed, indented by two
};

/// Of the program, with all commands, or of one command.
CommandWords command_words(const CLI::App& app);

/// The last word of its name: of "wainscot build" "build".
std::string last_word(const CommandWords& command);

/// How it is called, in a line: "wainscot build DRIVE --out MAP [options]".
std::string call_line(const CommandWords& command);

/// The names of an option with the value that it takes: "-h, --help", "--template FILE...".
std::string named_with_value(const OptionWords& option);

}  // namespace wainscot
