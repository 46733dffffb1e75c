#include "apps/simulator/plan_section.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "core/nearest_name.hpp"

namespace wainscot::simulator {

PlanSection::PlanSection(const YAML::Node& node, const std::string& file, std::string what,
                         std::vector<std::string_view> known)
    : node_(node), file_(file), what_(std::move(what)) {
  if (!node.IsMap()) fail(node, fmt::format("{} must be \"key: value\" pairs", what_));
  for (const auto& pair : node) {
    const std::string key = pair.first.Scalar();
    if (std::find(known.begin(), known.end(), key) == known.end()) {
      const std::vector<std::string> names(known.begin(), known.end());
      fail(pair.first, fmt::format("{} has no key \"{}\"; the nearest known one is \"{}\"", what_, key,
                                   names[nearest_name(key, names)]));
    }
    if (pair.second.Mark().pos != node[key].Mark().pos) fail(pair.first, fmt::format("key \"{}\" is there twice", key));
  }
}

void PlanSection::fail(const YAML::Node& node, const std::string& what) const {
  const int line = node.Mark().line + 1;  // 0 for what is empty
  throw InputError(line > 0 ? fmt::format("{}, line {}: {}.", file_, line, what) : fmt::format("{}: {}.", file_, what));
}

YAML::Node PlanSection::need(const char* key) const {
  const YAML::Node value = node_[key];
  if (!value) fail(node_, fmt::format("{} needs the key \"{}\"", what_, key));
  return value;
}

double PlanSection::number(const YAML::Node& value, std::string_view key, double least, double greatest) const {
  double result = 0.0;
  if (!value.IsScalar() || !YAML::convert<double>::decode(value, result) || !std::isfinite(result)) {
    fail(value, fmt::format("{} must be a number", key));
  }
  if (result < least || result > greatest) {
    fail(value, fmt::format("{} is {} and must lie within {} to {}", key, result, least, greatest));
  }
  return result;
}

int PlanSection::whole(const char* key, int otherwise, int least, int greatest) const {
  if (!has(key)) return otherwise;
  const double value = number(key, least, greatest);
  if (value != std::floor(value)) fail(node_[key], fmt::format("{} is {} and must be a whole number", key, value));
  return static_cast<int>(value);
}

bool PlanSection::flag(const char* key, bool otherwise) const {
  if (!has(key)) return otherwise;
  bool value = false;
  if (!YAML::convert<bool>::decode(node_[key], value)) fail(node_[key], fmt::format("{} must be true or false", key));
  return value;
}

std::string PlanSection::text(const char* key, const std::string& otherwise) const {
  if (!has(key)) return otherwise;
  if (!node_[key].IsScalar()) fail(node_[key], fmt::format("{} must be a word", key));
  return node_[key].Scalar();
}

std::size_t PlanSection::choice(const char* key, const std::vector<std::string_view>& words) const {
  const std::string word = text(key, std::string(words[0]));
  const auto found = std::find(words.begin(), words.end(), word);
  if (found == words.end()) fail(node_[key], fmt::format("{} must be one of {}", key, fmt::join(words, ", ")));
  return static_cast<std::size_t>(found - words.begin());
}

Point PlanSection::point(const YAML::Node& value, const char* key) const {
  if (!value.IsSequence() || value.size() != 2) fail(value, fmt::format("{} must be a place [x_m, y_m]", key));
  return {number(value[0], key, -kFar_m, kFar_m), number(value[1], key, -kFar_m, kFar_m)};
}

std::vector<Point> PlanSection::points(const char* key, std::size_t least) const {
  std::vector<Point> all;
  for (const YAML::Node& value : list(key)) all.push_back(point(value, key));
  if (all.size() < least) fail(node_, fmt::format("{} needs at least {} places", key, least));
  return all;
}

std::vector<YAML::Node> PlanSection::list(const char* key) const {
  if (!has(key)) return {};
  if (!node_[key].IsSequence()) fail(node_[key], fmt::format("{} must be a list", key));
  return {node_[key].begin(), node_[key].end()};
}

std::string quoted(const std::string& text) {
  YAML::Emitter out;
  out << YAML::DoubleQuoted << text;
  return out.c_str();
}

std::string place(Point p) { return fmt::format("[{}, {}]", p.x_m, p.y_m); }

std::string places(const std::vector<Point>& points) {
  std::vector<std::string> all;
  all.reserve(points.size());
  for (const Point p : points) all.push_back(place(p));
  return fmt::format("[{}]", fmt::join(all, ", "));
}

}  // namespace wainscot::simulator
