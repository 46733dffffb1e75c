#pragma once

#include <string>

#include <yaml-cpp/yaml.h>

namespace wainscot {

/// YAML of one document without aliases, tabs and control characters: what can be expanded without end, or is read
/// otherwise than it looks, is refused before anything is built from it. Throws `InputError` with `file`, as messages
/// name it, and the line.
YAML::Node load_plain_yaml(const std::string& text, const std::string& file);

/// Throws `InputError`: "file:line: what".
[[noreturn]] void fail_at(const std::string& file, const YAML::Mark& mark, const std::string& what);

}  // namespace wainscot
