#include "io/convert/json_line.hpp"

#include <cmath>
#include <limits>
#include <random>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "io/convert/log_lines.hpp"

namespace wainscot {
namespace {

using List = std::vector<double>;

bool read(JsonLine& json, const std::string& line) {
  const std::string padded = line + std::string(kBytesBehindLine, '9');
  return json.read({padded.data(), line.size()});
}

const double kNone = std::numeric_limits<double>::quiet_NaN();

void expect_list(const JsonValue& value, const List& expected) {
  ASSERT_EQ(value.kind, JsonValue::Kind::list);
  ASSERT_EQ(value.list.size(), expected.size());
  for (std::size_t i = 0; i < expected.size(); ++i) {
    EXPECT_TRUE(value.list[i] == expected[i] || (std::isnan(value.list[i]) && std::isnan(expected[i]))) << i;
  }
}

TEST(JsonLine, ChosenPathsInTheirOrder) {
  JsonLine json({"scan.mm", "pose.x", "kind", "absent"});
  ASSERT_TRUE(read(json, R"({"kind": "a", "t": 1, "pose": {"x": -2.5, "y": 3}, "scan": {"q": [1], "mm": [812, 0]}})"));
  expect_list(json.values()[0], {812, 0});
  EXPECT_EQ(json.values()[1].kind, JsonValue::Kind::number);
  EXPECT_EQ(json.values()[1].number, -2.5);
  EXPECT_EQ(json.values()[2].kind, JsonValue::Kind::text);
  EXPECT_EQ(json.values()[3].kind, JsonValue::Kind::absent);
  ASSERT_TRUE(read(json, R"({"pose": {"x": 7}})"));
  EXPECT_EQ(json.values()[0].kind, JsonValue::Kind::absent);
  EXPECT_EQ(json.values()[1].number, 7.0);
}

TEST(JsonLine, AnObjectIsThere) {
  JsonLine json({"pose", "pose.x"});
  ASSERT_TRUE(read(json, R"({"pose": {"x": 7}})"));
  EXPECT_EQ(json.values()[0].kind, JsonValue::Kind::object);
  EXPECT_EQ(json.values()[1].number, 7.0);
  ASSERT_TRUE(read(json, R"({"scan": 1})"));
  EXPECT_EQ(json.values()[0].kind, JsonValue::Kind::absent);
}

TEST(JsonLine, AllPathsAreLearned) {
  JsonLine json;
  ASSERT_TRUE(read(json, R"({"t": 1.5, "a.b": 2, "w": {"l": 3}, "e": [], "ok": true})"));
  ASSERT_TRUE(read(json, R"({"t": 2, "new": 4})"));
  EXPECT_EQ(json.paths(), (std::vector<std::string>{"t", "a.b", "w.l", "e", "ok", "new"}));
  EXPECT_EQ(json.values()[0].number, 2.0);
  EXPECT_EQ(json.values()[1].kind, JsonValue::Kind::absent);
}

TEST(JsonLine, ListsWithinListsAreListsOfTheirOwn) {
  JsonLine json({"b.2", "c.mm", "c.deg", "e"});
  ASSERT_TRUE(
      read(json, R"({"b": [[1, 12], [2, 15]], "c": [{"deg": 5, "mm": 8}, {"mm": 9}, {"deg": 7, "mm": 1}], "e": []})"));
  expect_list(json.values()[0], {12, 15});
  expect_list(json.values()[1], {8, 9, 1});
  expect_list(json.values()[2], {5, kNone, 7});
  expect_list(json.values()[3], {});
}

TEST(JsonLine, WhatIsNoNumberInAList) {
  JsonLine json({"r", "w"});
  ASSERT_TRUE(read(json, R"({"r": [1, null, NaN, -Infinity, Infinity, 2e-1 ], "w": [1, "a", true]})"));
  expect_list(json.values()[0], {1, kNone, kNone, kNone, kNone, 0.2});
  EXPECT_TRUE(json.values()[0].list_is_numbers);
  expect_list(json.values()[1], {1, kNone, kNone});
  EXPECT_FALSE(json.values()[1].list_is_numbers);
}

TEST(JsonLine, DamagedLinesAreNone) {
  JsonLine json({"t", "r"});
  for (const char* line :
       {"", " ", "3", "[1]", "{", R"({"t": 1)", R"({"t": 1}})", R"({"t": 1} x)", R"({"t" 1})", R"({"t": 1x})",
        R"({"r": [1, , 2]})", R"({"r": [1 2]})", R"({"r": [1, 2)", R"({"t": })", R"({"t": "a)", "{\"t\": \"\xff\"}"}) {
    EXPECT_FALSE(read(json, line)) << line;
  }
  EXPECT_TRUE(read(json, R"({"t": 1})"));
}

// Whatever serial noise makes of a line, it is read as another library reads it, or is no line.
TEST(JsonLine, DamagedLinesNeverSurprise) {
  const std::string whole =
      R"({"t": 12.5, "k": "scan", "s": {"mm": [812, 0, 815, 1e3], "q": [[1, 2], [3]]}, "n": null})";
  const std::string bytes = R"({}[]",:0123456789.eE+- nultr)";
  std::mt19937 random(7);
  JsonLine json({"t", "k", "s.mm", "s.q.2", "n"});
  int fitting = 0;
  for (int i = 0; i < 20'000; ++i) {
    std::string line = whole;
    for (std::size_t n = 1 + random() % 3; n > 0; --n) {
      line[random() % line.size()] = bytes[random() % bytes.size()];
    }
    if (random() % 4 == 0) line.resize(random() % line.size());
    const bool fits = read(json, line);
    const nlohmann::json other = nlohmann::json::parse(line, nullptr, false);
    if (!other.is_object()) continue;
    if (!fits) continue;  // a number too large for a double, a key that is not closed as strictly as elsewhere
    ++fitting;
    if (other.contains("t") && other["t"].is_number()) {
      EXPECT_EQ(json.values()[0].number, other["t"].get<double>()) << line;
    }
  }
  EXPECT_GT(fitting, 1000);
}

}  // namespace
}  // namespace wainscot
