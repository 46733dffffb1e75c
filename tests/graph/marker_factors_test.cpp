#include "graph/marker_factors.hpp"

#include <cmath>
#include <random>

#include <gtest/gtest.h>
#include <Eigen/Dense>

namespace wainscot {
namespace {

/// Nodes of a drive around a room, each of which sees two of three markers; the first node is held.
struct Case {
  std::vector<Pose2> truth{{0.0, 0.0, 0.1}, {1.0, 0.2, 0.5}, {1.5, 1.2, 1.4}, {0.6, 1.8, 2.8}, {-0.3, 1.0, 4.2}};
  std::vector<Pose2> markers{{0.5, 1.0, 0.3}, {2.0, 0.5, -1.0}, {0.0, 2.2, 2.0}};
  MarkerEvidence evidence;

  explicit Case(bool surveyed) {
    evidence.names = {"1", "2", "3"};
    evidence.surveyed.resize(3);
    for (std::size_t node = 0; node < truth.size(); ++node) {
      for (std::size_t marker = 0; marker < 3; ++marker) {
        NodeSighting s;
        s.sighting = evidence.sightings.size();
        s.marker = marker;
        s.node = node;
        s.robot = {0.05, 0.01, 0.2};  // a moment after the node
        s.at_m = inverse(truth[node]) * markers[marker].translation();
        s.heading_rad = wrap_angle(markers[marker].heading_rad - truth[node].heading_rad);
        s.sd_m = 0.02;
        s.sd_rad = 0.03;
        evidence.sightings.push_back(s);
      }
    }
    if (!surveyed) return;
    evidence.map_from_survey = Pose2{0.3, -0.2, 0.4};
    for (std::size_t i = 0; i < 3; ++i) {
      const Eigen::Vector2d place = inverse(*evidence.map_from_survey) * markers[i].translation();
      evidence.surveyed[i] = SurveyedMarker{evidence.names[i], place.x(), place.y(), std::nullopt};
    }
  }

  /// Gauss-Newton from poses that are off, with nothing but the markers.
  std::vector<Pose2> solved(MarkerFactors& factors) const {
    std::vector<Pose2> poses = truth;
    for (std::size_t i = 1; i < poses.size(); ++i) poses[i] = poses[i] * Pose2{0.03, -0.02, 0.02};
    const auto column = [](std::size_t node) { return 3 * (static_cast<Eigen::Index>(node) - 1); };
    const auto nodes = static_cast<Eigen::Index>(3 * (poses.size() - 1));
    for (int iteration = 0; iteration < 8; ++iteration) {
      Eigen::MatrixXd matrix = Eigen::MatrixXd::Zero(nodes + factors.unknowns(), nodes + factors.unknowns());
      Eigen::VectorXd right = Eigen::VectorXd::Zero(matrix.rows());
      factors.add_to({matrix, right, column, -1, nodes}, poses);
      const Eigen::VectorXd step = matrix.selfadjointView<Eigen::Lower>().llt().solve(right);
      for (std::size_t i = 1; i < poses.size(); ++i) poses[i] = poses[i] * exp(step.segment<3>(column(i)));
      factors.move(step.tail(factors.unknowns()));
    }
    return poses;
  }
};

double apart(const Pose2& a, const Pose2& b) { return (a.translation() - b.translation()).norm(); }

TEST(MarkerFactors, SightingsAloneFindNodesAndMarkers) {
  const Case one(false);
  MarkerFactors factors(one.evidence, one.truth);
  EXPECT_EQ(factors.unknowns(), 4 + 3 * 3);
  const std::vector<Pose2> poses = one.solved(factors);
  for (std::size_t i = 0; i < poses.size(); ++i) EXPECT_LT(apart(poses[i], one.truth[i]), 1e-4) << i;
  const MapMarkers account = factors.account(poses, Eigen::MatrixXd::Identity(13, 13) * 1e-4);
  ASSERT_EQ(account.markers.size(), 3u);
  EXPECT_LT(apart(account.markers[1].place, one.markers[1]), 1e-4);
  EXPECT_NEAR(account.markers[1].sd_m, 0.01, 1e-12);
  EXPECT_EQ(account.markers[1].sightings, 5);
  EXPECT_LT(account.markers[1].residual_rms_m, 1e-4);
  EXPECT_FALSE(account.frame_by_survey);
}

TEST(MarkerFactors, ADerivativeOfEveryUnknownLeadsDownhill) {
  // Noise on everything: the minimum is where the gradient vanishes, which wrong derivatives would not reach.
  Case one(true);
  std::mt19937_64 random(3);
  std::normal_distribution<double> noise(0.0, 0.01);
  for (NodeSighting& s : one.evidence.sightings) {
    s.at_m += Eigen::Vector2d(noise(random), noise(random));
    *s.heading_rad += noise(random);
  }
  MarkerFactors factors(one.evidence, one.truth);
  EXPECT_EQ(factors.unknowns(), 4 + 3 * 3 + 3);
  const std::vector<Pose2> poses = one.solved(factors);
  for (std::size_t i = 0; i < poses.size(); ++i) EXPECT_LT(apart(poses[i], one.truth[i]), 0.05) << i;
  Eigen::MatrixXd matrix = Eigen::MatrixXd::Zero(12 + 16, 12 + 16);
  Eigen::VectorXd right = Eigen::VectorXd::Zero(28);
  factors.add_to({matrix, right, [](std::size_t n) { return 3 * (static_cast<Eigen::Index>(n) - 1); }, -1, 12}, poses);
  const Eigen::VectorXd left = matrix.selfadjointView<Eigen::Lower>().llt().solve(right);
  EXPECT_LT(left.cwiseAbs().maxCoeff(), 1e-5);
}

TEST(MarkerFactors, AMisreadNumberHardlyPulls) {
  Case one(false);
  one.evidence.sightings[4].marker = 2;  // was marker 2 ("2"), read as "3"
  MarkerFactors factors(one.evidence, one.truth);
  const std::vector<Pose2> poses = one.solved(factors);
  for (std::size_t i = 0; i < poses.size(); ++i) EXPECT_LT(apart(poses[i], one.truth[i]), 0.02) << i;
  const MapMarkers account = factors.account(poses, Eigen::MatrixXd::Identity(13, 13));
  ASSERT_EQ(account.left_out.size(), 1u);
  EXPECT_EQ(account.left_out[0].sighting, 4u);
  EXPECT_EQ(account.left_out[0].marker, "3");
}

TEST(MarkerFactors, NoMarkersNoUnknowns) {
  MarkerFactors factors(MarkerEvidence{}, {});
  EXPECT_EQ(factors.unknowns(), 0);
}

}  // namespace
}  // namespace wainscot
