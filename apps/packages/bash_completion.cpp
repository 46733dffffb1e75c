#include "apps/packages/bash_completion.hpp"

#include <vector>

#include <fmt/format.h>

#include "apps/packages/value_kind.hpp"

namespace wainscot {
namespace {

constexpr const char* bash_begins = R"(# Completion of wainscot for bash, made from the program's own help.
_wainscot() {
  local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD - 1]} options='' offered=''
  COMPREPLY=()
  # bash parts words at "=": --out=map comes as three.
  if [[ $word == = ]]; then
    word=''
  elif [[ $before == = ]]; then
    before=${COMP_WORDS[COMP_CWORD - 2]}
  fi
  local command=${COMP_WORDS[1]}
  ((COMP_CWORD > 1)) || command=''
  case $command in
)";

// Files and folders are left to bash itself, which knows how to quote their names.
constexpr const char* bash_ends = R"(  esac
  case $offered in
    /files) compopt -o default ;;
    /folders) compopt -o dirnames ;;
    *) mapfile -t COMPREPLY < <(compgen -W "$offered" -- "$word") ;;
  esac
}
complete -F _wainscot wainscot
)";

std::string offered(ValueKind kind, const std::vector<std::string>& choices) {
  switch (kind) {
    case ValueKind::words:
      return fmt::format("'{}'", fmt::join(choices, " "));
    case ValueKind::file:
      return "/files";
    case ValueKind::folder:
      return "/folders";
    case ValueKind::nothing:
      break;
  }
  return "";
}

std::vector<std::string> all_names(const CommandWords& command) {
  std::vector<std::string> names;
  for (const OptionWords& option : command.options) names.insert(names.end(), option.names.begin(), option.names.end());
  return names;
}

std::vector<std::string> command_names(const CommandWords& program) {
  std::vector<std::string> names;
  for (const CommandWords& command : program.commands) names.push_back(last_word(command));
  return names;
}

/// What follows a command's name: the value of the option before it, an option, or what the command works on.
std::string bash_case_of(const CommandWords& command) {
  std::string text = fmt::format("    {})\n      options='{}'\n      case $before in\n", last_word(command),
                                 fmt::join(all_names(command), " "));
  for (const OptionWords& option : command.options) {
    if (option.value.empty()) continue;
    text += fmt::format("        {}) offered={} ;;\n", fmt::join(option.names, " | "),
                        offered(value_kind(option), option.choices));
  }
  return text + fmt::format(
                    "        *) if [[ $word == -* ]]; then offered=$options; else offered={}; fi ;;\n      esac\n"
                    "      ;;\n",
                    offered(argument_kind(command), {}));
}

}  // namespace

std::string bash_completion(const CommandWords& program) {
  const std::string commands = fmt::format("{}", fmt::join(command_names(program), " "));
  std::string script = bash_begins;
  script += fmt::format("    '') offered='{} help version {}' ;;\n    help) offered='{}' ;;\n", commands,
                        fmt::join(all_names(program), " "), commands);
  for (const CommandWords& command : program.commands) script += bash_case_of(command);
  return script + bash_ends;
}

}  // namespace wainscot
