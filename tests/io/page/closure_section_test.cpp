#include "io/page/closure_section.hpp"

#include <string>

#include <gtest/gtest.h>

#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

TEST(ClosureSection, HasEachCandidateWithItsReason) {
  const std::string section = closure_section(sample_map(), true);
  EXPECT_NE(section.find("<details open=\"open\"><summary>1 accepted closure, with reasons"), std::string::npos);
  EXPECT_NE(section.find("<details><summary>1 rejected candidate, with reasons"), std::string::npos);
  // Found (-0.1, 0.05) beside where it was predicted, seen in the predicted frame, and turned by 0.1 rad.
  EXPECT_NE(section.find(R"(<td class="n">1</td><td class="n">1.0</td><td class="n">2.0</td><td class="n">0.11 m</td>)"
                         R"(<td class="n">5.73°</td><td class="n">90 %</td><td class="n">1.0 %</td>)"
                         R"(<td class="why">walls coincide</td>)"),
            std::string::npos);
  EXPECT_NE(section.find("<td class=\"why\">a wall was seen through</td>"), std::string::npos);
}

TEST(ClosureSection, ALongTableEndsWhereGraphSqliteHasTheRest) {
  Map map = sample_map();
  map.candidates.resize(1);
  for (int i = 0; i < 250; ++i) map.candidates.push_back(sample_map().candidates[1]);
  const std::string section = closure_section(map, true);
  EXPECT_NE(section.find("The first 200 of 250; graph.sqlite holds them all."), std::string::npos);
  EXPECT_NE(section.find("<tr><td class=\"n\">201</td>"), std::string::npos);
  EXPECT_EQ(section.find("<tr><td class=\"n\">202</td>"), std::string::npos);
}

TEST(ClosureSection, TheLargestCorrectionComesFirst) {
  Map map = sample_map();
  LoopCandidate larger = map.candidates.front();
  larger.predicted = {3.0, 0.25, 0.2};
  map.candidates.push_back(larger);
  const std::string section = closure_section(map, true);
  const std::size_t third = section.find("<tr><td class=\"n\">3</td>");
  ASSERT_NE(third, std::string::npos);
  EXPECT_LT(third, section.find("<tr><td class=\"n\">1</td>"));
}

TEST(ClosureSection, SaysWhyThereAreNone) {
  Map map = sample_map();
  EXPECT_NE(closure_section(map, false).find("made with --no-loop-closure"), std::string::npos);
  map.candidates.erase(map.candidates.begin());
  EXPECT_NE(closure_section(map, true).find("None was accepted."), std::string::npos);
}

}  // namespace
}  // namespace wainscot
