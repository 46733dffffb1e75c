#include "graph/markers/survey_frame.hpp"

#include <cmath>

#include <gtest/gtest.h>
#include <Eigen/Dense>

namespace wainscot {
namespace {

constexpr double kQuarter = 1.5707963267948966;

/// Markers seen from nodes two metres apart, the survey turned by a quarter and shifted.
struct Surveyed {
  PoseGraph graph;
  std::vector<SeenSurveyed> seen;
  Pose2 map_from_survey{3.0, -2.0, kQuarter};

  explicit Surveyed(double information = 1e6) {
    for (std::size_t i = 0; i < 5; ++i) {
      Node node;
      node.pose = {2.0 * static_cast<double>(i), 0.0, 0.0};
      graph.nodes.push_back(node);
      if (i == 0) continue;
      graph.edges.push_back({EdgeKind::match, i - 1, i, {2.0, 0.0, 0.0}, information * Eigen::Matrix3d::Identity()});
    }
  }
  void add(std::size_t node, const Eigen::Vector2d& at, const Eigen::Vector2d& survey_off = {0.0, 0.0}) {
    const Eigen::Vector2d survey = inverse(map_from_survey) * at + survey_off;
    SeenSurveyed one;
    one.marker = seen.size();
    one.surveyed = {"m", survey.x(), survey.y(), std::nullopt};
    one.place = {at, std::nullopt, node, 0.02, 3};
    seen.push_back(one);
  }
  std::optional<SurveyFrame> frame() const { return survey_frame(seen, DriftTree(graph), {}); }
};

void expect_is(const Pose2& found, const Pose2& wanted) {
  EXPECT_NEAR(found.x_m, wanted.x_m, 1e-9);
  EXPECT_NEAR(found.y_m, wanted.y_m, 1e-9);
  EXPECT_NEAR(wrap_angle(found.heading_rad - wanted.heading_rad), 0.0, 1e-9);
}

TEST(SurveyFrame, TheOneThatMostAgreeWithCounts) {
  Surveyed house;
  house.add(0, {0.0, 1.0});
  house.add(1, {2.0, 1.5}, {0.0, 2.0});  // a slip in the survey
  house.add(2, {4.0, -1.0});
  house.add(4, {8.0, 1.0});
  const std::optional<SurveyFrame> frame = house.frame();
  ASSERT_TRUE(frame);
  expect_is(frame->map_from_survey, house.map_from_survey);
  EXPECT_EQ(frame->agreeing, (std::vector<std::size_t>{0, 2, 3}));
}

TEST(SurveyFrame, OneMarkerDoesWithItsHeading) {
  Surveyed house;
  house.add(2, {4.0, 1.0});
  EXPECT_FALSE(house.frame());
  house.seen[0].place.heading_rad = 0.3;
  house.seen[0].surveyed.heading_rad = 0.3 - kQuarter;
  const std::optional<SurveyFrame> frame = house.frame();
  ASSERT_TRUE(frame);
  expect_is(frame->map_from_survey, house.map_from_survey);
  EXPECT_EQ(frame->agreeing, std::vector<std::size_t>{0});
}

TEST(SurveyFrame, MarkersThatDriftHasPartedGiveNone) {
  Surveyed house(1.0);  // a metre from node to node
  house.add(0, {0.0, 1.0});
  house.add(4, {8.0, 1.0});
  EXPECT_FALSE(house.frame());
  EXPECT_FALSE(joined_sd_m(Eigen::Matrix3d::Identity(), {}));
  EXPECT_NEAR(*joined_sd_m(1e-4 * Eigen::Matrix3d::Identity(), {}), 0.01, 1e-12);
}

}  // namespace
}  // namespace wainscot
