#include "graph/markers/line_frame.hpp"

#include <utility>
#include <vector>

#include <gtest/gtest.h>

#include "tests/graph/markers/walked_lines.hpp"

namespace wainscot {
namespace {

FollowedLine followed_line(const Eigen::Vector2d& from, const Eigen::Vector2d& to, std::size_t node) {
  FollowedLine line;
  line.line = line_through({from, to});
  line.last_m = 0.5 * (to - from).norm();
  line.first_m = -line.last_m;
  line.node = node;
  return line;
}

/// Measured in a frame that lies so in the map: a little longer than it was followed.
MeasuredAndFollowed surveyed_line(const Eigen::Vector2d& from, const Eigen::Vector2d& to,
                                  const Pose2& map_from_survey) {
  const Eigen::Vector2d more = 0.1 * (to - from).normalized();
  const Eigen::Vector2d a = inverse(map_from_survey) * Eigen::Vector2d(from - more);
  const Eigen::Vector2d b = inverse(map_from_survey) * Eigen::Vector2d(to + more);
  return {{"", a.x(), a.y(), b.x(), b.y()}, followed_line(from, to, 0)};
}

TEST(LineFrame, TwoLinesThatCrossNearTheirEndsGiveIt) {
  const WalkedLines walked;
  // The second was driven the other way than it was measured: a line has no direction.
  std::vector<MeasuredAndFollowed> lines{surveyed_line({0.0, 0.0}, {4.0, 0.0}, kSurvey),
                                         surveyed_line({4.0, 0.5}, {4.0, 3.0}, kSurvey)};
  std::swap(lines[1].measured.x1_m, lines[1].measured.x2_m);
  std::swap(lines[1].measured.y1_m, lines[1].measured.y2_m);
  const LineFrame frame = line_frame(lines, DriftTree(walked.graph), {});
  ASSERT_TRUE(frame.map_from_survey);
  EXPECT_FALSE(frame.ambiguous);
  EXPECT_NEAR(frame.map_from_survey->x_m, kSurvey.x_m, 1e-9);
  EXPECT_NEAR(frame.map_from_survey->y_m, kSurvey.y_m, 1e-9);
  EXPECT_NEAR(frame.map_from_survey->heading_rad, kSurvey.heading_rad, 1e-9);
}

TEST(LineFrame, ACrossIsTheSameAfterHalfATurn) {
  const WalkedLines walked;
  std::vector<MeasuredAndFollowed> lines{surveyed_line({-2.0, 0.0}, {2.0, 0.0}, kSurvey),
                                         surveyed_line({0.0, -2.0}, {0.0, 2.0}, kSurvey)};
  LineFrame frame = line_frame(lines, DriftTree(walked.graph), {});
  EXPECT_TRUE(frame.ambiguous);
  EXPECT_FALSE(frame.map_from_survey);
  lines.push_back(surveyed_line({-2.0, 3.0}, {2.0, 3.0}, kSurvey));  // a third line tells
  frame = line_frame(lines, DriftTree(walked.graph), {});
  ASSERT_TRUE(frame.map_from_survey);
  EXPECT_NEAR(frame.map_from_survey->heading_rad, kSurvey.heading_rad, 1e-9);
}

TEST(LineFrame, ParallelLinesGiveNone) {
  const WalkedLines walked;
  const std::vector<MeasuredAndFollowed> lines{surveyed_line({0.0, 0.0}, {4.0, 0.0}, kSurvey),
                                               surveyed_line({0.0, 3.0}, {4.0, 3.0}, kSurvey)};
  const LineFrame frame = line_frame(lines, DriftTree(walked.graph), {});
  EXPECT_FALSE(frame.map_from_survey);
  EXPECT_FALSE(frame.ambiguous);
}

TEST(LineFrame, OneThatWasMeasuredWrongIsOutvoted) {
  const WalkedLines walked;
  std::vector<MeasuredAndFollowed> lines{surveyed_line({0.0, 0.0}, {4.0, 0.0}, kSurvey),
                                         surveyed_line({4.0, 0.5}, {4.0, 3.0}, kSurvey),
                                         surveyed_line({0.0, 3.0}, {3.0, 3.0}, kSurvey),
                                         surveyed_line({0.0, 1.0}, {0.0, 2.5}, Pose2{0.4, 0.0, 0.0} * kSurvey)};
  const LineFrame frame = line_frame(lines, DriftTree(walked.graph), {});
  ASSERT_TRUE(frame.map_from_survey);
  EXPECT_NEAR(frame.map_from_survey->x_m, kSurvey.x_m, 1e-9);
  const LineFit fit =
      fit_of(lines[3].followed, lines[3].measured, *frame.map_from_survey, Eigen::Matrix3d::Zero(), 0.0, {});
  EXPECT_FALSE(fit.agrees);
  EXPECT_NEAR(fit.off_m, 0.4, 1e-9);
}

TEST(LineFrame, WhereALineWasFollowedCounts) {
  const LineAgreementOptions options;
  const FollowedLine line = followed_line({1.0, 0.0}, {2.0, 0.0}, 0);
  const Eigen::Matrix3d sure = Eigen::Matrix3d::Zero();
  EXPECT_TRUE(fit_of(line, {"", 0.8, 0.0, 2.2, 0.0}, {}, sure, 0.0, options).agrees);
  EXPECT_FALSE(fit_of(line, {"", 5.8, 0.0, 7.2, 0.0}, {}, sure, 0.0, options).agrees);   // beyond its end
  EXPECT_FALSE(fit_of(line, {"", 0.8, 0.2, 2.2, 0.2}, {}, sure, 0.0, options).agrees);   // aside
  EXPECT_FALSE(fit_of(line, {"", 0.8, -0.1, 2.2, 0.1}, {}, sure, 0.0, options).agrees);  // askew
}

}  // namespace
}  // namespace wainscot
