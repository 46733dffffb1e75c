#include "apps/packages/value_kind.hpp"

#include <algorithm>
#include <set>
#include <string>

namespace wainscot {
namespace {

/// The words that commands put in the place of a folder, and of a file where the word has no ending.
const std::set<std::string> folder_words = {"DRIVE", "FOLDER", "MAP", "NEW"};
const std::set<std::string> file_words = {"FILE", "LIST", "LOG", "OTHER", "PLAN"};

}  // namespace

ValueKind value_kind(const OptionWords& option) {
  if (!option.choices.empty()) return ValueKind::words;
  if (folder_words.count(option.value) > 0) return ValueKind::folder;
  const bool has_ending = option.value.find('.') != std::string::npos;  // PAGE.html
  return has_ending || file_words.count(option.value) > 0 ? ValueKind::file : ValueKind::nothing;
}

ValueKind argument_kind(const CommandWords& command) {
  const auto any = [&](ValueKind kind) {
    return std::any_of(command.arguments.begin(), command.arguments.end(),
                       [kind](const OptionWords& argument) { return value_kind(argument) == kind; });
  };
  if (any(ValueKind::file)) return ValueKind::file;
  return any(ValueKind::folder) ? ValueKind::folder : ValueKind::nothing;
}

}  // namespace wainscot
