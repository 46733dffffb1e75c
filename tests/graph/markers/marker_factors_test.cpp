#include "graph/markers/marker_factors.hpp"

#include <algorithm>
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
      NormalSystem system(nodes + factors.unknowns());
      factors.add_to({system, column, -1, nodes}, poses);
      const Eigen::VectorXd step = system.dense().llt().solve(system.right_side());
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

struct Equations {
  Eigen::MatrixXd matrix;
  Eigen::VectorXd right_side;
};

/// Of five nodes, the first held, one column for the range scale, and the markers' own unknowns.
Equations equations_of(MarkerFactors factors, const std::vector<Pose2>& poses) {
  NormalSystem system(13 + factors.unknowns());
  factors.add_to({system, [](std::size_t n) { return 3 * (static_cast<Eigen::Index>(n) - 1); }, 12, 13}, poses);
  return {system.dense(), system.right_side()};
}

// Where all residuals are zero, a small step of one unknown must give the right side that the matrix foretells.
TEST(MarkerFactors, DerivativesAreThoseOfTheResiduals) {
  const Case one(true);
  const MarkerFactors factors(one.evidence, one.truth);
  const Equations still = equations_of(factors, one.truth);
  ASSERT_LT(still.right_side.cwiseAbs().maxCoeff(), 1e-6);
  constexpr double kStep = 1e-6;
  const double allowed = 1e-4 * kStep * still.matrix.cwiseAbs().maxCoeff();
  for (Eigen::Index i = 0; i < still.matrix.rows(); ++i) {
    std::vector<Pose2> poses = one.truth;
    MarkerFactors moved = factors;
    if (i < 12) {
      Tangent2 step = Tangent2::Zero();
      step[i % 3] = kStep;
      Pose2& pose = poses[static_cast<std::size_t>(i / 3) + 1];
      pose = pose * exp(step);
    } else if (i == 12) {
      MarkerEvidence grown = one.evidence;
      for (NodeSighting& s : grown.sightings) {
        const Eigen::Vector2d said = inverse(s.robot) * s.at_m;
        s.robot.x_m *= 1.0 + kStep;
        s.robot.y_m *= 1.0 + kStep;
        s.at_m = s.robot * said;
      }
      moved = MarkerFactors(grown, one.truth);
      // The markers' places begin where the grown sightings put them: back to where they were.
      Eigen::VectorXd back = Eigen::VectorXd::Zero(moved.unknowns());
      const MapMarkers now = moved.account(one.truth, Eigen::MatrixXd::Identity(16, 16));
      for (Eigen::Index m = 0; m < 3; ++m) {
        back.segment<2>(4 + 3 * m) = one.markers[static_cast<std::size_t>(m)].translation() -
                                     now.markers[static_cast<std::size_t>(m)].place.translation();
      }
      moved.move(back);
    } else {
      Eigen::VectorXd step = Eigen::VectorXd::Zero(moved.unknowns());
      step[i - 13] = kStep;
      moved.move(step);
    }
    const Eigen::VectorXd foretold = -kStep * still.matrix.col(i);
    // What only keeps the matrix regular acts on no residual.
    EXPECT_LT((equations_of(moved, poses).right_side - foretold).cwiseAbs().maxCoeff(), allowed) << "unknown " << i;
  }
}

TEST(MarkerFactors, NoiseIsAveraged) {
  Case one(true);
  std::mt19937_64 random(3);
  std::normal_distribution<double> noise(0.0, 0.01);
  for (NodeSighting& s : one.evidence.sightings) {
    s.at_m += Eigen::Vector2d(noise(random), noise(random));
    *s.heading_rad += noise(random);
  }
  MarkerFactors factors(one.evidence, one.truth);
  const std::vector<Pose2> poses = one.solved(factors);
  for (std::size_t i = 0; i < poses.size(); ++i) EXPECT_LT(apart(poses[i], one.truth[i]), 0.05) << i;
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

// The right side is minus the derivative of the cost, where the weights are those of the robust loss.
TEST(MarkerFactors, TheCostFallsAsTheRightSideSays) {
  Case one(true);
  for (NodeSighting& s : one.evidence.sightings) s.at_m += Eigen::Vector2d(0.03, -0.02);
  MarkerFactors factors(one.evidence, one.truth);
  NormalSystem system(13 + factors.unknowns());
  factors.add_to({system, [](std::size_t n) { return 3 * (static_cast<Eigen::Index>(n) - 1); }, 12, 13}, one.truth);
  const double before = factors.cost(one.truth);
  EXPECT_GT(before, 1.0);
  constexpr double kStep = 1e-6;
  for (Eigen::Index i = 0; i < factors.unknowns(); ++i) {
    MarkerFactors ahead = factors;
    MarkerFactors behind = factors;
    Eigen::VectorXd step = Eigen::VectorXd::Zero(factors.unknowns());
    step[i] = kStep;
    ahead.move(step);
    behind.move(-step);
    const double slope = (ahead.cost(one.truth) - behind.cost(one.truth)) / (2.0 * kStep);
    const double said = -system.right_side()[13 + i];
    EXPECT_NEAR(slope, said, 1e-3 * std::max(1.0, std::abs(said))) << "unknown " << i;
  }
}

TEST(MarkerFactors, NoMarkersNoUnknowns) {
  MarkerFactors factors(MarkerEvidence{}, {});
  EXPECT_EQ(factors.unknowns(), 0);
}

}  // namespace
}  // namespace wainscot
