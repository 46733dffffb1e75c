#include "graph/markers/line_agreement.hpp"

#include <gtest/gtest.h>

#include "tests/graph/markers/walked_lines.hpp"

namespace wainscot {
namespace {

bool has_part(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

/// Each of three sides of a room twice, the second time the other way.
WalkedLines lined_room() {
  WalkedLines walked;
  walked.follow("south", {0.0, 0.0}, {4.0, 0.0});
  walked.follow("east", {4.0, 0.5}, {4.0, 3.0});
  walked.follow("north", {3.5, 3.0}, {0.0, 3.0});
  walked.follow("north", {0.5, 3.0}, {3.0, 3.0});
  walked.follow("east", {4.0, 2.5}, {4.0, 1.0});
  walked.follow("south", {3.0, 0.0}, {1.0, 0.0});
  return walked;
}

TEST(LineAgreement, AllThatLiesOnOneLineIsBelieved) {
  const WalkedLines walked = lined_room();
  const LineEvidence evidence = agreeing_lines(walked.drive, walked.graph, std::nullopt);
  EXPECT_EQ(evidence.names, (std::vector<std::string>{"east", "north", "south"}));
  EXPECT_EQ(evidence.stretches.size(), 6u);
  EXPECT_TRUE(evidence.left_out.empty());
  EXPECT_TRUE(evidence.warnings.empty());
  EXPECT_FALSE(evidence.map_from_survey);
  EXPECT_EQ(evidence.stretches[0].nodes.size(), 15u);  // each 0.29 m of four
  EXPECT_TRUE(agreeing_lines(Drive(), walked.graph, std::nullopt).empty());
}

TEST(LineAgreement, AMisnamedRowIsLeftOutWithItsReason) {
  WalkedLines walked = lined_room();
  walked.follow("south", {0.0, 3.0}, {3.0, 3.0});  // really north
  const LineEvidence evidence = agreeing_lines(walked.drive, walked.graph, std::nullopt);
  EXPECT_EQ(evidence.stretches.size(), 6u);
  ASSERT_EQ(evidence.left_out.size(), 1u);
  EXPECT_EQ(evidence.left_out[0].stretch, 6u);
  EXPECT_EQ(evidence.left_out[0].line, "south");
  EXPECT_EQ(evidence.left_out[0].from_s, walked.drive.followed[6].from_s);
  EXPECT_TRUE(has_part(evidence.left_out[0].reason, "3.00 m from where 2 other stretches put this line"))
      << evidence.left_out[0].reason;
}

TEST(LineAgreement, OfTwoThatDisagreeNeitherIsBelieved) {
  WalkedLines walked = lined_room();
  walked.follow("rug", {1.0, 1.0}, {3.0, 1.0});
  walked.follow("rug", {1.0, 1.0}, {1.0, 2.5});
  const LineEvidence evidence = agreeing_lines(walked.drive, walked.graph, std::nullopt);
  EXPECT_EQ(evidence.stretches.size(), 6u);
  EXPECT_EQ(evidence.left_out.size(), 2u);
}

TEST(LineAgreement, AWayThatIsNotStraightOrShortIsOnNoLine) {
  WalkedLines walked = lined_room();
  walked.follow("rug", {1.0, 1.0}, {3.0, 1.0}, 0.3);
  walked.follow("mat", {1.0, 2.0}, {1.2, 2.0});
  walked.drive.followed.push_back({900.0, 901.0, "past the end"});
  const LineEvidence evidence = agreeing_lines(walked.drive, walked.graph, std::nullopt);
  ASSERT_EQ(evidence.left_out.size(), 3u);
  EXPECT_TRUE(has_part(evidence.left_out[0].reason, "not straight")) << evidence.left_out[0].reason;
  EXPECT_TRUE(has_part(evidence.left_out[1].reason, "no further than 0.20 m")) << evidence.left_out[1].reason;
  EXPECT_TRUE(has_part(evidence.left_out[2].reason, "fewer than two scans")) << evidence.left_out[2].reason;
}

WalkedLines measured_room() {
  WalkedLines walked = lined_room();
  walked.measure("south", {-0.1, 0.0}, {4.1, 0.0}, kSurvey);
  walked.measure("east", {4.0, 0.3}, {4.0, 3.2}, kSurvey);
  walked.measure("north", {3.7, 3.0}, {-0.2, 3.0}, kSurvey);
  return walked;
}

TEST(LineAgreement, MeasuredLinesGiveTheFrame) {
  const WalkedLines walked = measured_room();
  const LineEvidence evidence = agreeing_lines(walked.drive, walked.graph, std::nullopt);
  ASSERT_TRUE(evidence.map_from_survey);
  EXPECT_NEAR(evidence.map_from_survey->x_m, kSurvey.x_m, 1e-6);
  EXPECT_NEAR(evidence.map_from_survey->heading_rad, kSurvey.heading_rad, 1e-6);
  EXPECT_TRUE(evidence.measured[0] && evidence.measured[1] && evidence.measured[2]);
  EXPECT_EQ(evidence.stretches.size(), 6u);
}

TEST(LineAgreement, MarkersGiveItWhereTheyDo) {
  WalkedLines walked = lined_room();
  walked.measure("south", {-0.1, 0.0}, {4.1, 0.0}, kSurvey);  // alone it gives none
  LineEvidence evidence = agreeing_lines(walked.drive, walked.graph, std::nullopt);
  EXPECT_FALSE(evidence.map_from_survey);
  ASSERT_EQ(evidence.warnings.size(), 1u);
  EXPECT_TRUE(has_part(evidence.warnings[0], "does not define the map's frame")) << evidence.warnings[0];
  EXPECT_EQ(evidence.stretches.size(), 6u);
  evidence = agreeing_lines(walked.drive, walked.graph, kSurvey);
  EXPECT_TRUE(evidence.warnings.empty());
  EXPECT_TRUE(evidence.measured[2]);
  EXPECT_FALSE(evidence.measured[0]);
}

TEST(LineAgreement, TheSurveyTellsWhichOfTwoIsMisnamed) {
  WalkedLines walked = measured_room();
  walked.follow("rug", {1.0, 1.0}, {3.0, 1.0});
  walked.follow("rug", {1.0, 3.0}, {3.0, 3.0});  // really north
  walked.measure("rug", {0.8, 1.0}, {3.2, 1.0}, kSurvey);
  const LineEvidence evidence = agreeing_lines(walked.drive, walked.graph, std::nullopt);
  EXPECT_EQ(evidence.stretches.size(), 7u);
  ASSERT_EQ(evidence.left_out.size(), 1u);
  EXPECT_EQ(evidence.left_out[0].stretch, 7u);
  EXPECT_TRUE(has_part(evidence.left_out[0].reason, "2.00 m from where line_map.csv has this line"));
}

TEST(LineAgreement, ASlipOfTheTapeIsLeftOut) {
  WalkedLines walked = measured_room();
  walked.follow("rug", {1.0, 1.0}, {3.0, 1.0});
  walked.follow("rug", {3.0, 1.0}, {1.0, 1.0});
  walked.measure("rug", {0.8, 1.9}, {3.2, 1.9}, kSurvey);
  const LineEvidence evidence = agreeing_lines(walked.drive, walked.graph, std::nullopt);
  EXPECT_EQ(evidence.stretches.size(), 8u);  // still one straight line
  ASSERT_EQ(evidence.warnings.size(), 1u);
  EXPECT_TRUE(has_part(evidence.warnings[0], "line rug was followed 0.90 m from where")) << evidence.warnings[0];
  EXPECT_FALSE(evidence.measured[2]);
}

TEST(LineAgreement, MoreLinesThanCanBeAdjustedAreLeftOut) {
  const WalkedLines walked = lined_room();
  LineAgreementOptions two;
  two.most_lines = 2;
  const LineEvidence evidence = agreeing_lines(walked.drive, walked.graph, std::nullopt, two);
  EXPECT_EQ(evidence.names.size(), 2u);
  EXPECT_EQ(evidence.stretches.size(), 4u);
  EXPECT_EQ(evidence.left_out.size(), 2u);
}

}  // namespace
}  // namespace wainscot
