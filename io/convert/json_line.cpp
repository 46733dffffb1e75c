#include "io/convert/json_line.hpp"

#include <algorithm>
#include <limits>
#include <utility>

#include <simdjson.h>

#include "io/convert/log_lines.hpp"
#include "io/number_reader.hpp"

namespace wainscot {
namespace {

namespace json = simdjson::ondemand;

static_assert(kBytesBehindLine >= simdjson::SIMDJSON_PADDING);

constexpr std::size_t kMostPaths = 10'000;  // a robot's messages have dozens; noise invents names without end
constexpr int kMostLevels = 16;             // of names; what is nested deeper is skipped
constexpr double kNoNumber = std::numeric_limits<double>::quiet_NaN();

enum class Token { number, word, string, container, damaged };

/// What a value begins with says what it is. `number` is set for a number and for null, NaN and Infinity.
Token token_of(std::string_view raw, double& number) {
  while (!raw.empty() && (raw.back() == ' ' || raw.back() == '\t' || raw.back() == '\r')) raw.remove_suffix(1);
  if (raw.empty()) return Token::damaged;
  if (raw.front() == '"') return Token::string;
  if (raw.front() == '{' || raw.front() == '[') return Token::container;
  if (raw.front() <= '9' && read_number(raw, number) == NumberFault::none) return Token::number;
  number = kNoNumber;
  if (raw == "true" || raw == "false") return Token::word;
  const bool is_none = raw == "null" || raw == "NaN" || raw == "Infinity" || raw == "-Infinity";
  return is_none ? Token::number : Token::damaged;
}

std::string_view without_end(std::string_view raw) {
  const std::size_t end = raw.find_last_not_of(" \t\r");
  return raw.substr(0, end == std::string_view::npos ? 0 : end + 1);
}

}  // namespace

struct JsonLine::Parser {
  json::parser parser;
};

/// One line's way through the values. Each function is false where the line is damaged.
struct JsonLine::Walk {
  JsonLine& line;

  void set_scalar(JsonValue& value, Token token, std::string_view raw, double number) const {
    value.kind = token == Token::number ? JsonValue::Kind::number : JsonValue::Kind::text;
    value.number = number;
    value.text = without_end(raw);
  }

  /// Element `index` of a list; the ones before that had no such value are NaN.
  static void append(JsonValue& value, std::size_t index, double number, bool is_number) {
    if (value.kind != JsonValue::Kind::list) {
      value.kind = JsonValue::Kind::list;
      value.list.clear();
      value.list_is_numbers = true;
    }
    value.list.resize(index, kNoNumber);
    value.list.push_back(number);
    value.list_is_numbers = value.list_is_numbers && is_number;
  }

  bool scalar(json::value& found, std::size_t node) const {
    JsonValue* const value = line.value_of(node);
    if (value == nullptr) return true;
    const std::string_view raw = found.raw_json_token();
    double number = 0.0;
    const Token token = token_of(raw, number);
    if (token == Token::string) {
      value->kind = JsonValue::Kind::text;
      return found.get_string().get(value->text) == simdjson::SUCCESS;
    }
    set_scalar(*value, token, raw, number);
    return token != Token::damaged;
  }

  /// A value inside of an array, where each name below makes a list of its own.
  bool element(json::value& found, std::size_t node, std::size_t index, int level) {
    double number = kNoNumber;
    const std::string_view raw = found.raw_json_token();
    const Token token = token_of(raw, number);
    if (token == Token::damaged) return false;
    if (token != Token::container) {
      JsonValue* const value = line.value_of(node);
      if (value != nullptr) append(*value, index, number, token == Token::number);
      return true;
    }
    return level >= kMostLevels || parts(found, raw.front(), node, index, level);
  }

  /// What stands in one element that is an array or an object itself.
  bool parts(json::value& found, char opening, std::size_t node, std::size_t index, int level) {
    if (opening == '{') {
      json::object object;
      if (found.get_object().get(object) != simdjson::SUCCESS) return false;
      for (auto field : object) {
        std::string_view key;
        json::value inner;
        if (field.unescaped_key().get(key) != simdjson::SUCCESS) return false;
        const std::size_t below = line.child(node, key);
        if (field.value().get(inner) != simdjson::SUCCESS) return false;
        if (below != kNone && !element(inner, below, index, level + 1)) return false;
      }
      return true;
    }
    json::array array;
    if (found.get_array().get(array) != simdjson::SUCCESS) return false;
    std::size_t place = 0;
    for (auto inner_result : array) {
      json::value inner;
      if (inner_result.get(inner) != simdjson::SUCCESS) return false;
      const std::size_t below = line.child(node, std::to_string(++place));
      if (below != kNone && !element(inner, below, index, level + 1)) return false;
    }
    return true;
  }

  bool list(json::array& array, std::size_t node, int level) {
    JsonValue* value = line.value_of(node);
    std::size_t index = 0;
    for (auto result : array) {
      json::value found;
      if (result.get(found) != simdjson::SUCCESS) return false;
      double number = 0.0;
      const std::string_view raw = found.raw_json_token();
      // Nearly all of a log is this: a short number in a list.
      if (value != nullptr && token_of(raw, number) == Token::number) {
        append(*value, index, number, true);
      } else {
        if (!element(found, node, index, level)) return false;
        value = line.value_of(node);  // new paths may have moved it
      }
      ++index;
    }
    // An empty list is one too, as of a scan in which nothing answered.
    if (index == 0 && value != nullptr) {
      append(*value, 0, 0.0, true);
      value->list.clear();
    }
    return true;
  }

  bool object(json::object& object, std::size_t node, int level) {
    for (auto field : object) {
      std::string_view key;
      json::value found;
      if (field.unescaped_key().get(key) != simdjson::SUCCESS) return false;
      const std::size_t below = line.child(node, key);
      if (field.value().get(found) != simdjson::SUCCESS) return false;
      if (below == kNone || level >= kMostLevels) continue;
      if (!value(found, below, level + 1)) return false;
    }
    return true;
  }

  bool value(json::value& found, std::size_t node, int level) {
    const std::string_view raw = found.raw_json_token();
    if (raw.empty()) return false;
    if (raw.front() == '{') {
      json::object inner;
      JsonValue* const whole = line.learns_ ? nullptr : line.value_of(node);
      if (whole != nullptr) whole->kind = JsonValue::Kind::object;
      return found.get_object().get(inner) == simdjson::SUCCESS && object(inner, node, level);
    }
    if (raw.front() == '[') {
      json::array inner;
      return found.get_array().get(inner) == simdjson::SUCCESS && list(inner, node, level);
    }
    return scalar(found, node);
  }
};

JsonLine::JsonLine(std::vector<std::string> paths)
    : paths_(std::move(paths)), values_(paths_.size()), parser_(std::make_unique<Parser>()) {
  new_node("");
}

JsonLine::JsonLine() : learns_(true), parser_(std::make_unique<Parser>()) { new_node(""); }

JsonLine::JsonLine(JsonLine&&) noexcept = default;
JsonLine& JsonLine::operator=(JsonLine&&) noexcept = default;
JsonLine::~JsonLine() = default;

JsonValue* JsonLine::value_of(std::size_t node) {
  Node& at = nodes_[node];
  if (at.value == kNone && learns_ && paths_.size() < kMostPaths) {
    at.value = paths_.size();
    paths_.push_back(at.path);
    values_.emplace_back();
  }
  return at.value == kNone ? nullptr : &values_[at.value];
}

std::size_t JsonLine::new_node(std::string path) {
  Node node;
  for (std::size_t i = 0; i < paths_.size() && !learns_; ++i) {
    if (paths_[i] == path) node.value = i;
    node.leads_on = node.leads_on || path.empty() || paths_[i].starts_with(path + ".");
  }
  node.leads_on = node.leads_on || learns_;
  node.path = std::move(path);
  nodes_.push_back(std::move(node));
  return nodes_.size() - 1;
}

std::size_t JsonLine::child(std::size_t node, std::string_view key) {
  for (const Name& name : nodes_[node].names) {
    if (name.key == key) return name.node;
  }
  if (!nodes_[node].leads_on || nodes_[node].names.size() >= kMostPaths || nodes_.size() >= 2 * kMostPaths)
    return kNone;
  const std::string& path = nodes_[node].path;
  const std::size_t made = new_node(path.empty() ? std::string(key) : path + "." + std::string(key));
  const bool wanted = nodes_[made].value != kNone || nodes_[made].leads_on;
  nodes_[node].names.push_back({std::string(key), wanted ? made : kNone});
  if (!wanted) nodes_.pop_back();
  return wanted ? made : kNone;
}

bool JsonLine::read(std::string_view line) {
  for (JsonValue& value : values_) value.kind = JsonValue::Kind::absent;
  json::document document;
  const std::size_t capacity = line.size() + kBytesBehindLine;
  if (parser_->parser.iterate(line.data(), line.size(), capacity).get(document) != simdjson::SUCCESS) return false;
  json::object object;
  if (document.get_object().get(object) != simdjson::SUCCESS) return false;
  Walk walk{*this};
  // Behind the last brace there is no place left.
  return walk.object(object, 0, 0) && document.current_location().error() == simdjson::OUT_OF_BOUNDS;
}

}  // namespace wainscot
