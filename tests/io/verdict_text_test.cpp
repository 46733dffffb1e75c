#include "io/verdict_text.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(VerdictText, OneSentenceForEachGrade) {
  EXPECT_EQ(verdict_sentence({Grade::good, "to navigate by: all is well", "", 0}),
            "good, to navigate by: all is well.");
  EXPECT_EQ(verdict_sentence({Grade::usable, "one door is missing", "look", 0}), "usable, but one door is missing.");
  EXPECT_EQ(verdict_sentence({Grade::usable, "one door is missing", "look", 2}),
            "usable, but one door is missing (and 2 doubts more, see the warnings).");
  EXPECT_EQ(verdict_sentence({Grade::unusable, "it is a wreck", "look", 0}), "not to be used: it is a wreck.");
}

}  // namespace
}  // namespace wainscot
