#include "core/nearest_name.hpp"

#include <gtest/gtest.h>

#include <string>
#include <vector>

namespace wainscot {
namespace {

TEST(NearestName, EditDistance) {
  // The textbook pair: R. A. Wagner, M. J. Fischer, "The string-to-string correction problem", J. ACM 21(1), 1974,
  // counts insertions, deletions and replacements as here.
  EXPECT_EQ(edit_distance("kitten", "sitting"), 3u);
  EXPECT_EQ(edit_distance("", "abc"), 3u);
  EXPECT_EQ(edit_distance("abc", ""), 3u);
  EXPECT_EQ(edit_distance("", ""), 0u);
  EXPECT_EQ(edit_distance("Time_S", "time_s"), 0u);
}

TEST(NearestName, ASwapIsOneSlipAndNothingIsChangedTwice) {
  EXPECT_EQ(edit_distance("rigth", "right"), 1u);
  EXPECT_EQ(edit_distance("wehels", "wheels"), 1u);
  EXPECT_EQ(edit_distance("ab", "ba"), 1u);
  EXPECT_EQ(edit_distance("AB", "ba"), 1u);
  EXPECT_EQ(edit_distance("abcd", "badc"), 2u);
  EXPECT_EQ(edit_distance("ca", "abc"), 3u);  // 2 where what was swapped may be parted again
}

TEST(NearestName, IsSymmetric) {
  const std::vector<std::string> words = {"", "s", "scans", "scnas", "cans", "wheels", "shewel", "odometry"};
  for (const std::string& a : words) {
    for (const std::string& b : words) EXPECT_EQ(edit_distance(a, b), edit_distance(b, a)) << a << ", " << b;
  }
}

TEST(NearestName, TheNearestAndTheFirstOfSeveral) {
  const std::vector<std::string> known = {"left_ticks", "right_ticks", "time_s"};
  EXPECT_EQ(nearest_name("rigt_ticks", known), 1u);
  EXPECT_EQ(nearest_name("times", known), 2u);
  EXPECT_EQ(nearest_name(std::string(1'000'000, 'x'), known), 0u);  // answers at once
  EXPECT_EQ(nearest_name("acb", std::vector<std::string>{"axx", "abc"}), 1u);
  EXPECT_EQ(nearest_name("m", std::vector<std::string>{"a", "b"}), 0u);
}

}  // namespace
}  // namespace wainscot
