#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include <yaml-cpp/yaml.h>

namespace wainscot {

/// What values a number may have.
struct Bounds {
  double least;
  double most;
};
constexpr double kTiny = 1e-12;  ///< as the least: "more than 0"

/// One mapping of a YAML file, its keys checked: each known, and there once. All functions throw `InputError` that
/// names file, line and key.
class YamlSection {
 public:
  /// `name` as messages name it; empty: the top level. `node` may be null: every key below it is commented out. Of an
  /// unknown key the nearest of `keys`, not empty, is named, or one of `keys_elsewhere`, "section.key", that ends so.
  YamlSection(std::string file, std::string name, const YAML::Node& node, std::vector<std::string> keys,
              std::vector<std::string> keys_elsewhere = {});

  const std::string& name() const { return name_; }

  YAML::Node find(const std::string& key) const { return node_[key]; }

  [[noreturn]] void fail(const std::string& key, const std::string& what, const YAML::Mark& mark) const;
  /// With the line of the key or, where it is missing, of the section.
  [[noreturn]] void fail(const std::string& key, const std::string& what) const;

  /// The text of a plain value; nullopt where the key is not there.
  std::optional<std::string> text(const std::string& key) const;
  std::optional<double> number(const std::string& key, const Bounds& bounds) const;
  /// `written` as a number.
  double checked_number(const std::string& key, const std::string& written, const Bounds& bounds,
                        const YAML::Mark& mark) const;

  // These leave `value` as it is where the key is not there.

  void set_number(const std::string& key, const Bounds& bounds, double& value) const {
    value = number(key, bounds).value_or(value);
  }
  /// One of a few whole numbers.
  void set_choice(const std::string& key, const std::vector<int>& choices, int& value) const;
  void set_flag(const std::string& key, bool& value) const;

 private:
  void check_known(const std::string& key, const YAML::Mark& mark) const;

  std::string file_;
  std::string name_;
  YAML::Node node_;
  std::vector<std::string> keys_;
  std::vector<std::string> keys_elsewhere_;
  std::map<std::string, YAML::Mark> marks_;  // of the keys
};

}  // namespace wainscot
