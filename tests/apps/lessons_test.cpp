#include "apps/lessons.hpp"

#include <algorithm>
#include <stdexcept>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "graph/mapping/mapper.hpp"
#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

const Drive& ring_drive() {
  static const Drive drive = driven(ring_house(1)).drive;
  return drive;
}

Lesson ring_lesson(int number) {
  static const DriveExplanation explanation = explain_drive(ring_drive(), {}, {});
  return lesson(number, {ring_drive(), explanation, "'my drive'"});
}

TEST(Lessons, EachAsksWhatCanBeChecked) {
  for (int number = 1; number <= number_of_lessons; ++number) {
    const Lesson asked = ring_lesson(number);
    SCOPED_TRACE(asked.title);
    ASSERT_FALSE(asked.questions.empty());
    for (const Question& q : asked.questions) {
      EXPECT_EQ(q.question.back(), '?');
      EXPECT_FALSE(q.check.empty());
      EXPECT_FALSE(q.answer.empty());
    }
  }
  EXPECT_THROW(ring_lesson(0), std::invalid_argument);
  EXPECT_THROW(ring_lesson(number_of_lessons + 1), std::invalid_argument);
}

TEST(Lessons, AnswersAreOfTheDriveAtHand) {
  const Map map = build_map(ring_drive(), {});
  const auto closures = std::count_if(map.graph.edges.begin(), map.graph.edges.end(),
                                      [](const Edge& e) { return e.kind == EdgeKind::closure; });
  const auto accepted = std::count_if(map.candidates.begin(), map.candidates.end(),
                                      [](const LoopCandidate& c) { return c.verdict == Verdict::accepted; });
  if (closures > 0) {
    EXPECT_NE(ring_lesson(3).questions[0].answer.find(fmt::format("{} closure", closures)), std::string::npos);
  }
  EXPECT_EQ(ring_lesson(4).questions[0].answer, fmt::format("{} tried, {} believed", map.candidates.size(), accepted));
}

TEST(Lessons, AreTextWithOrWithoutAnswers) {
  const Lesson one{"Title", "Words.", {{"How far?", "measure it", "3 m"}}};
  const std::string asked = lesson_text(1, one, "'my drive'", true, false);
  EXPECT_NE(asked.find("Lesson 1 of 7: Title (a simulated drive)"), std::string::npos);
  EXPECT_EQ(asked.find("3 m"), std::string::npos);
  EXPECT_NE(asked.find("wainscot explain 'my drive' --lesson 1 --answers"), std::string::npos);
  EXPECT_NE(asked.find("--lesson 2"), std::string::npos);
  const std::string answered = lesson_text(number_of_lessons, one, "drive", false, true);
  EXPECT_NE(answered.find("Answer: 3 m"), std::string::npos);
  EXPECT_EQ(answered.find("Next:"), std::string::npos);
  EXPECT_EQ(answered.find("simulated"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
