#include "io/results/scale_account.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace wainscot {
namespace {

std::vector<MappedTape> two_tapes() {
  return {{"hall", {0.0, 1.0}, {4.0, 1.0}, 4.012, 0.002, 4.02, ""},
          {"typo", {0.0, 0.0}, {0.0, 3.0}, 3.1, 0.002, 3.0, "it says 3.100 m where the map has 3.000 m"}};
}

std::vector<ScaleRemedy> three_remedies() {
  return {{ScaleRemedy::Kind::tapes, 3, 4.2, 0.003, 0.0004, {{{{0.0, 1.0}, {4.2, 1.0}}}, {{{5.0, 0.0}, {5.0, 3.0}}}}},
          {ScaleRemedy::Kind::tapes, 1, 4.2, 0.003, 0.0006, {{{{0.0, 1.0}, {4.2, 1.0}}}}},
          {ScaleRemedy::Kind::straight_run, 3, 3.2, 0.003, 0.0007, {}},
          {ScaleRemedy::Kind::surveyed_markers, 2, 8.0, 0.005, 0.0008, {}}};
}

TEST(ScaleAccount, SaysWhatTapesMadeOfTheScale) {
  EXPECT_EQ(tape_sentences({}), "");
  EXPECT_EQ(tape_sentences(two_tapes()),
            "1 of 2 tapes holds the scale; along the longest, 4.01 m, the map without them was 8.0 mm too long.");
  std::vector<MappedTape> none = two_tapes();
  none[0].left_out = "its faces are not parallel";
  EXPECT_EQ(tape_sentences(none), "none of 2 tapes holds the scale.");
}

TEST(ScaleAccount, SaysWhatWouldHelpAndWhatItIsWorth) {
  EXPECT_EQ(remedy_sentence({}), "");
  EXPECT_EQ(remedy_sentence(three_remedies()),
            "To know the scale better, this would bring it: 3 tapes between the walls at (0.00, 1.00) and (4.20, "
            "1.00), (5.00, 0.00) and (5.00, 3.00) m to 0.04 %; one tape of 4.20 m "
            "known to 3.0 mm, between the walls at (0.00, 1.00) and (4.20, 1.00) m (build --tapes) to 0.06 %; 3 "
            "straight runs of 3.20 m known to 3.0 mm for wainscot calibrate to 0.07 %; a survey of two markers 8.00 m "
            "apart, known to 5.0 mm each to 0.08 %.");
}

TEST(ScaleAccount, JsonHasEachTapeAndEachRemedy) {
  const auto tapes = tapes_json(two_tapes());
  EXPECT_EQ(tapes[0]["used"], true);
  EXPECT_EQ(tapes[0]["without_tapes_m"], 4.02);
  EXPECT_FALSE(tapes[0].contains("left_out"));
  EXPECT_EQ(tapes[1]["used"], false);
  EXPECT_EQ(tapes[1]["left_out"], "it says 3.100 m where the map has 3.000 m");
  const auto remedies = remedies_json(three_remedies());
  ASSERT_EQ(remedies.size(), 4U);
  EXPECT_EQ(remedies[0]["what"], "tapes");
  EXPECT_EQ(remedies[0]["between"].size(), 2U);
  EXPECT_EQ(remedies[0]["between"][1]["to"]["y_m"], 3.0);
  EXPECT_EQ(remedies[1]["scale_sd"], 0.0006);
  EXPECT_EQ(remedies[2]["what"], "straight_runs");
  EXPECT_FALSE(remedies[2].contains("between"));
}

}  // namespace
}  // namespace wainscot
