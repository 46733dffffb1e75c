#include "apps/simulator/plan_section.hpp"

#include <string>

#include <gtest/gtest.h>

#include "core/errors.hpp"

namespace wainscot::simulator {
namespace {

struct Thing {
  double length_m = 1.5;
};

const std::string kFile = "plan.yaml";
const std::vector<NumberKey<Thing>> kThingNumbers = {{"length_m", &Thing::length_m, 0.0, 2.0}};

PlanSection section_of(const std::string& text) {
  return {YAML::Load(text), kFile, "a thing", key_names(kThingNumbers, {"name", "side", "count", "on", "at", "way"})};
}

/// What the InputError says that `read` ends with.
template <typename Read>
std::string refusal(const Read& read) {
  try {
    read();
  } catch (const InputError& error) {
    return error.what();
  }
  return "was accepted";
}

TEST(PlanSection, HandsOutValuesByKey) {
  const PlanSection section =
      section_of("{length_m: 0.25, name: sofa, side: right, count: 7, on: true, at: [1, -2.5], way: [[0, 1], [2, 3]]}");
  Thing thing;
  section.numbers(kThingNumbers, thing);
  EXPECT_EQ(thing.length_m, 0.25);
  EXPECT_EQ(section.text("name", ""), "sofa");
  EXPECT_EQ(section.choice("side", {"left", "right"}), 1U);
  EXPECT_EQ(section.whole("count", 0, 1, 10), 7);
  EXPECT_TRUE(section.flag("on", false));
  EXPECT_EQ(section.point("at").y_m, -2.5);
  EXPECT_EQ(section.points("way", 2)[1].x_m, 2.0);
}

TEST(PlanSection, AMissingKeyStandsForItsDefault) {
  const PlanSection section = section_of("{}");
  Thing thing;
  section.numbers(kThingNumbers, thing);
  EXPECT_EQ(thing.length_m, 1.5);
  EXPECT_EQ(section.number("length_m", 0.75, 0.0, 2.0), 0.75);
  EXPECT_EQ(section.choice("side", {"left", "right"}), 0U);
  EXPECT_EQ(section.whole("count", 3, 1, 10), 3);
  EXPECT_TRUE(section.list("way").empty());
  EXPECT_FALSE(section.has("at"));
}

TEST(PlanSection, ComplaintsNameFileLineAndWhatMayStandThere) {
  EXPECT_EQ(refusal([] { section_of("name: a\nlenght_m: 1\n"); }),
            "plan.yaml, line 2: a thing has no key \"lenght_m\"; the nearest known one is \"length_m\".");
  EXPECT_EQ(refusal([] { section_of("name: a\nname: b\n"); }), "plan.yaml, line 2: key \"name\" is there twice.");
  EXPECT_EQ(refusal([] { section_of("[1]"); }), "plan.yaml, line 1: a thing must be \"key: value\" pairs.");
  EXPECT_EQ(refusal([] { section_of("name: a").need("at"); }), "plan.yaml, line 1: a thing needs the key \"at\".");
  EXPECT_EQ(refusal([] { section_of("length_m: 3").number("length_m", 0.0, 2.0); }),
            "plan.yaml, line 1: length_m is 3 and must lie within 0 to 2.");
  EXPECT_EQ(refusal([] { section_of("count: 1.5").whole("count", 0, 1, 10); }),
            "plan.yaml, line 1: count is 1.5 and must be a whole number.");
  EXPECT_EQ(refusal([] {
              section_of("side: up").choice("side", {"left", "right"});
            }),
            "plan.yaml, line 1: side must be one of left, right.");
  EXPECT_EQ(refusal([] { section_of("at: [1, 2, 3]").point("at"); }),
            "plan.yaml, line 1: at must be a place [x_m, y_m].");
  EXPECT_EQ(refusal([] { section_of("way: [[1, 2]]").points("way", 2); }),
            "plan.yaml, line 1: way needs at least 2 places.");
}

TEST(PlanSection, WordsAndPlacesAreReadBackTheSame) {
  const std::string word = "a \"b\": #\n";
  EXPECT_EQ(YAML::Load(quoted(word)).Scalar(), word);
  EXPECT_EQ(places({{0.1, -3.0}, {1e-7, 2.0}}), "[[0.1, -3], [1e-07, 2]]");
}

}  // namespace
}  // namespace wainscot::simulator
