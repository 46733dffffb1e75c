#include "apps/packages/zsh_completion.hpp"

#include <string_view>
#include <vector>

#include <fmt/format.h>

#include "apps/packages/value_kind.hpp"

namespace wainscot {
namespace {

constexpr const char* zsh_begins = R"(#compdef wainscot
# Completion of wainscot for zsh, made from the program's own help.
_wainscot() {
  local context state state_descr line
  typeset -A opt_args
  local -a commands=(
)";

/// Text inside of zsh's single quotes, with a backslash before each of `special`.
std::string quoted(std::string_view text, std::string_view special) {
  std::string all;
  for (const char c : text) {
    if (c == '\'') {
      all += "'\\''";
      continue;
    }
    if (special.find(c) != std::string_view::npos) all += '\\';
    all += c;
  }
  return all;
}

/// ":METRES:" and what does it: nothing, words, files or folders.
std::string action_of(const OptionWords& option) {
  const std::string message = ":" + quoted(option.value, ":\\") + ":";
  switch (value_kind(option)) {
    case ValueKind::words:
      return message + fmt::format("({})", fmt::join(option.choices, " "));
    case ValueKind::file:
      return message + "_files";
    case ValueKind::folder:
      return message + "_files -/";
    case ValueKind::nothing:
      break;
  }
  return message + " ";
}

/// A specification for each name of an option. Help and version go with nothing else.
std::string specifications(const OptionWords& option) {
  std::string text;
  const bool is_alone = option.what.ends_with(" and stop");
  for (const std::string& name : option.names) {
    std::string others = is_alone ? "- *" : fmt::format("{}", fmt::join(option.not_with, " "));
    if (!is_alone && !option.repeatable) others += (others.empty() ? "" : " ") + name;
    text += fmt::format(" \\\n        '{}{}{}[{}]{}'", others.empty() ? "" : "(" + others + ")",
                        option.repeatable ? "*" : "", name + (option.value.empty() ? "" : "="),
                        quoted(option.what, "[]\\"), option.value.empty() ? "" : action_of(option));
  }
  return text;
}

std::string zsh_case_of(const CommandWords& command) {
  std::string text = "      " + last_word(command) + ")\n        _arguments";
  for (const OptionWords& option : command.options) text += specifications(option);
  for (const OptionWords& argument : command.arguments) {
    const std::string place = argument.several ? "*" : std::to_string(&argument - command.arguments.data() + 1);
    const bool may_lack = !argument.needed && !argument.several;
    text += fmt::format(" \\\n        '{}{}{}'", place, may_lack ? ":" : "", action_of(argument));
  }
  return text + " ;;\n";
}

}  // namespace

std::string zsh_completion(const CommandWords& program) {
  std::string script = zsh_begins;
  for (const CommandWords& command : program.commands) {
    const std::string name = last_word(command);
    script += fmt::format("    '{}:{}'\n", name, quoted(command.what, ":\\"));
  }
  script += "  )\n  _arguments -C";
  for (const OptionWords& option : program.options) script += specifications(option);
  script +=
      " \\\n        '1: :->command' '*:: :->rest'\n  case $state in\n    command) _describe command commands ;;\n"
      "    rest) case $words[1] in\n      help) _describe command commands ;;\n";
  for (const CommandWords& command : program.commands) script += zsh_case_of(command);
  return script + "      esac ;;\n  esac\n}\n_wainscot \"$@\"\n";
}

}  // namespace wainscot
