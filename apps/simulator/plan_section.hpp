#pragma once

// How parts of a plan stand in its file, for those that read and write it (apps/simulator/plan_yaml.hpp).

#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <yaml-cpp/yaml.h>

#include "apps/simulator/geometry.hpp"

namespace wainscot::simulator {

/// No place of a plan lies further from the origin along an axis, metres.
constexpr double kFar_m = 1000.0;

/// A number of the file, where it belongs and what it may be.
template <typename T>
struct NumberKey {
  std::string_view name;
  double T::*member;
  double least;
  double greatest;
};

/// The keys' names, behind `others`.
template <typename T>
std::vector<std::string_view> key_names(const std::vector<NumberKey<T>>& keys, std::vector<std::string_view> others) {
  for (const NumberKey<T>& key : keys) others.push_back(key.name);
  return others;
}

/// One mapping of the file: hands out values by key and complains with file and line. Every complaint is an InputError.
class PlanSection {
 public:
  /// `file`: as messages name it; outlives the section. `what`: "a wall". `known`: the keys that may be there.
  PlanSection(const YAML::Node& node, const std::string& file, std::string what, std::vector<std::string_view> known);

  [[noreturn]] void fail(const YAML::Node& node, const std::string& what) const;

  // Of the values below, `otherwise` is what a missing key stands for; without it the key must be there.

  bool has(const char* key) const { return static_cast<bool>(node_[key]); }
  YAML::Node need(const char* key) const;

  /// A finite number within least .. greatest.
  double number(const YAML::Node& value, std::string_view key, double least, double greatest) const;
  double number(const char* key, double least, double greatest) const {
    return number(need(key), key, least, greatest);
  }
  double number(const char* key, double otherwise, double least, double greatest) const {
    return has(key) ? number(key, least, greatest) : otherwise;
  }
  /// Those of `keys` that are there.
  template <typename T>
  void numbers(const std::vector<NumberKey<T>>& keys, T& into) const {
    for (const NumberKey<T>& key : keys) {
      const YAML::Node value = node_[std::string(key.name)];
      if (value) into.*key.member = number(value, key.name, key.least, key.greatest);
    }
  }
  int whole(const char* key, int otherwise, int least, int greatest) const;
  bool flag(const char* key, bool otherwise) const;
  std::string text(const char* key, const std::string& otherwise) const;
  /// The place of the word in `words`; the first one where the key is missing.
  std::size_t choice(const char* key, const std::vector<std::string_view>& words) const;

  Point point(const YAML::Node& value, const char* key) const;
  Point point(const char* key) const { return point(need(key), key); }
  std::vector<Point> points(const char* key, std::size_t least) const;

  /// Empty where the key is missing.
  std::vector<YAML::Node> list(const char* key) const;
  /// The mapping below a key.
  PlanSection inner(const char* key, std::vector<std::string_view> known) const {
    return PlanSection(need(key), file_, key, std::move(known));
  }
  /// A mapping that is an item of a list.
  PlanSection item(const YAML::Node& node, const char* what, std::vector<std::string_view> known) const {
    return PlanSection(node, file_, what, std::move(known));
  }

 private:
  YAML::Node node_;
  const std::string& file_;
  std::string what_;
};

/// A word with quotes, any character in it kept.
std::string quoted(const std::string& text);

/// "[x, y]", with the shortest digits that give the same number again.
std::string place(Point p);

/// "[[x, y], [x, y]]".
std::string places(const std::vector<Point>& points);

}  // namespace wainscot::simulator
