#include "io/robot/robot_yaml_edit.hpp"

#include <algorithm>
#include <cctype>
#include <stdexcept>

#include <fmt/format.h>
#include <yaml-cpp/yaml.h>

#include "core/errors.hpp"
#include "io/robot/robot_yaml.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

/// Where a mark of the parser stands in the text.
std::size_t offset_of(const std::string& text, const YAML::Mark& mark) {
  std::size_t start = 0;
  for (int line = 0; line < mark.line; ++line) start = text.find('\n', start) + 1;
  return start + static_cast<std::size_t>(mark.column);
}

std::size_t next_line(const std::string& text, std::size_t offset) {
  const std::size_t end = text.find('\n', offset);
  return end == std::string::npos ? text.size() : end + 1;
}

/// A key as YAML, quoted where it is not a plain word.
std::string key_text(const std::string& key) {
  const bool plain = !key.empty() && std::all_of(key.begin(), key.end(), [](unsigned char c) {
    return std::isalnum(c) != 0 || c == '_' || c == '-';
  });
  // A plain word that YAML takes for something else stays a key: keys are read as text.
  if (plain && key.front() != '-') return key;
  std::string quoted = "'";
  for (const char c : key) quoted += c == '\'' ? std::string("''") : std::string(1, c);
  return quoted + "'";
}

/// "key: value", or "key: {next: value}" for the rest of a path.
std::string entry_text(const std::vector<std::string>& path, std::size_t depth, const std::string& value) {
  if (depth + 1 == path.size()) return key_text(path[depth]) + ": " + value;
  return key_text(path[depth]) + ": {" + entry_text(path, depth + 1, value) + "}";
}

void replace_scalar(std::string& text, const YAML::Node& scalar, const std::string& value) {
  const std::size_t at = offset_of(text, scalar.Mark());
  std::size_t length = scalar.Scalar().size();
  if (text.at(at) == '"' || text.at(at) == '\'') length = text.find(text[at], at + 1) - at + 1;
  text.replace(at, length, value);
}

/// Adds an entry to a mapping that has others.
void add_entry(std::string& text, const YAML::Node& mapping, const std::string& entry) {
  if (mapping.Style() == YAML::EmitterStyle::Flow) {
    text.insert(offset_of(text, mapping.Mark()) + 1, entry + (mapping.size() > 0 ? ", " : ""));
    return;
  }
  // Below the last plain value, so that a comment above the first one stays where it is.
  const YAML::Mark first = mapping.begin()->first.Mark();
  const std::string line = std::string(static_cast<std::size_t>(first.column), ' ') + entry + "\n";
  std::size_t at = offset_of(text, first) - static_cast<std::size_t>(first.column);
  for (const auto& other : mapping) {
    if (other.second.IsScalar()) at = next_line(text, offset_of(text, other.first.Mark()));
  }
  if (at == text.size() && text.back() != '\n') {
    text += "\n";
    at = text.size();
  }
  text.insert(at, line);
}

/// The line below a key whose value is empty.
std::size_t below_key(const std::string& text, const YAML::Node& mapping, const std::string& key) {
  for (const auto& entry : mapping) {
    if (entry.first.Scalar() == key) return next_line(text, offset_of(text, entry.first.Mark()));
  }
  throw std::logic_error("the key is there");
}

void apply(std::string& text, const RobotChange& change) {
  YAML::Node node = YAML::Load(text);
  for (std::size_t depth = 0; depth < change.path.size(); ++depth) {
    const YAML::Node mapping = node;
    const YAML::Node next = mapping[change.path[depth]];
    if (!next.IsDefined() && depth == 0 && change.path.size() > 1) {
      if (!text.empty() && text.back() != '\n') text += "\n";
      text += key_text(change.path[0]) + ":\n  " + entry_text(change.path, 1, change.value) + "\n";
      return;
    }
    if (!next.IsDefined()) return add_entry(text, mapping, entry_text(change.path, depth, change.value));
    if (next.IsNull()) {  // all that was below it is commented out
      if (!text.empty() && text.back() != '\n') text += "\n";
      text.insert(below_key(text, mapping, change.path[depth]),
                  "  " + entry_text(change.path, depth + 1, change.value) + "\n");
      return;
    }
    node.reset(next);
  }
  replace_scalar(text, node, change.value);
}

}  // namespace

std::string edited_robot_yaml(std::string_view text, const std::string& name, const std::vector<RobotChange>& changes) {
  parse_robot_yaml(text, name, WheelConstants::optional);
  std::string edited(text);
  try {
    for (const RobotChange& change : changes) apply(edited, change);
    parse_robot_yaml(edited, name, WheelConstants::optional);
  } catch (const YAML::Exception& error) {
    throw InputError(fmt::format("{}: cannot be changed in place ({}); write its sections as indented lines", name,
                                 printable(error.what(), 120)));
  }
  return edited;
}

}  // namespace wainscot
