#include "graph/markers/line_factors.hpp"

#include <algorithm>
#include <cmath>
#include <random>

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "tests/graph/markers/walked_lines.hpp"

namespace wainscot {
namespace {

/// Two lines of a room, the first followed both ways, as believed evidence; measured in `kSurvey` on request.
struct Followed {
  WalkedLines walked;
  LineEvidence evidence;
  std::vector<Pose2> truth;

  explicit Followed(bool measured) {
    walked.follow("a", {1.0, 0.5}, {4.0, 0.5});
    walked.follow("b", {4.0, 1.0}, {4.0, 3.0});
    walked.follow("a", {3.5, 0.5}, {1.5, 0.5});
    if (measured) {
      walked.measure("a", {0.9, 0.5}, {4.1, 0.5}, kSurvey);
      walked.measure("b", {4.0, 0.9}, {4.0, 3.1}, kSurvey);
    }
    evidence = agreeing_lines(walked.drive, walked.graph, std::nullopt);
    truth = walked.poses();
  }

  Eigen::Index nodes() const { return 3 * (static_cast<Eigen::Index>(truth.size()) - 1); }
  static Eigen::Index column(std::size_t node) { return 3 * (static_cast<Eigen::Index>(node) - 1); }
  /// The survey's unknowns stand behind those of the lines.
  std::optional<SurveyUnknown> survey(const LineFactors& factors, const Pose2& frame = kSurvey) const {
    return SurveyUnknown{frame, nodes() + factors.unknowns()};
  }
  NormalSystem system_of(LineFactors& factors, const std::vector<Pose2>& poses, const Pose2& frame) const {
    NormalSystem system(nodes() + factors.unknowns() + 3);
    factors.add_to({system, column, -1, nodes()}, poses, survey(factors, frame));
    return system;
  }
};

// The right side is minus the derivative of the cost for every unknown, with everything off its place.
TEST(LineFactors, TheCostFallsAsTheRightSideSays) {
  const Followed one(true);
  std::vector<Pose2> poses = one.truth;
  for (std::size_t i = 1; i < poses.size(); ++i) {
    poses[i] = poses[i] * Pose2{0.0, i % 2 == 0 ? 0.02 : -0.01, 0.05};
  }
  LineFactors factors(one.evidence, poses);
  Eigen::VectorXd off(factors.unknowns());
  off << 0.004, 0.01, 0.02, -0.02, 0.01;
  factors.move(off);
  const NormalSystem system = one.system_of(factors, poses, kSurvey);
  constexpr double kStep = 1e-7;
  for (Eigen::Index i = 0; i < system.size(); ++i) {
    const auto cost_at = [&](double by) {
      std::vector<Pose2> moved = poses;
      LineFactors own = factors;
      Pose2 frame = kSurvey;
      if (i < one.nodes()) {
        Tangent2 step = Tangent2::Zero();
        step[i % 3] = by;
        Pose2& pose = moved[static_cast<std::size_t>(i / 3) + 1];
        pose = pose * exp(step);
      } else if (i < one.nodes() + factors.unknowns()) {
        Eigen::VectorXd step = Eigen::VectorXd::Zero(factors.unknowns());
        step[i - one.nodes()] = by;
        own.move(step);
      } else {
        const Eigen::Index part = i - one.nodes() - factors.unknowns();
        (part == 0 ? frame.x_m : part == 1 ? frame.y_m : frame.heading_rad) += by;
      }
      return own.cost(moved, one.survey(own, frame));
    };
    const double slope = (cost_at(kStep) - cost_at(-kStep)) / (2.0 * kStep);
    EXPECT_NEAR(slope, -system.right_side()[i], 1e-4 * std::max(10.0, std::abs(slope))) << "unknown " << i;
  }
}

// A metre of line is worth as much whether three nodes lie on it or thirty.
TEST(LineFactors, NodesCloseTogetherAreNoMeasurementsOfTheirOwn) {
  LineEvidence evidence;
  evidence.names = {"a"};
  evidence.measured.resize(1);
  std::vector<double> weights;
  for (const std::size_t count : {11u, 101u}) {
    std::vector<Pose2> poses;
    StretchNodes stretch;
    for (std::size_t i = 0; i < count; ++i) {
      poses.push_back({3.0 * static_cast<double>(i) / static_cast<double>(count - 1), 0.0, 0.0});
      stretch.nodes.push_back(i);
    }
    evidence.stretches = {stretch};
    const std::vector<NodesOnLine> lines = LineFactors(evidence, poses).graph_lines();
    double sum = 0.0;
    for (const double information : lines[0].information_per_m2) sum += information;
    weights.push_back(sum);
  }
  // Of 3 m with a correlation of 0.5 m and the stated 1 cm: three measurements.
  EXPECT_NEAR(weights[0], 3e4, 1.0);
  EXPECT_NEAR(weights[1], 3e4, 1.0);
}

// A follower's noise of 3 mm whose neighbours agree: the stated uncertainty of the line's place holds it.
TEST(LineFactors, ItsUncertaintyHoldsForNoiseThatRemembersItself) {
  constexpr int kRuns = 400;
  constexpr double kNoiseM = 0.003;
  constexpr double kCorrelationM = 0.5;
  constexpr std::size_t kNodes = 21;
  std::mt19937_64 random(5);
  std::normal_distribution<double> normal;
  LineEvidence evidence;
  evidence.names = {"a"};
  evidence.measured.resize(1);
  evidence.stretches = {{0, 0, {}, kNoiseM}};
  for (std::size_t i = 0; i < kNodes; ++i) evidence.stretches[0].nodes.push_back(i);
  LineFactorOptions straight;
  straight.tape_sd_m = 0.0;
  double sum = 0.0;
  double stated = 0.0;
  for (int run = 0; run < kRuns; ++run) {
    std::vector<Pose2> poses;
    double error = normal(random);
    for (std::size_t i = 0; i < kNodes; ++i) {
      const double kept = i == 0 ? 1.0 : std::exp(-0.2 / kCorrelationM);
      error = kept * error + std::sqrt(1.0 - kept * kept) * normal(random);
      poses.push_back({0.2 * static_cast<double>(i), kNoiseM * error, 0.0});
    }
    // All nodes held: the line is fitted to them.
    LineFactors factors(evidence, poses, straight);
    NormalSystem system(factors.unknowns());
    factors.add_to({system, [](std::size_t) { return -1; }, -1, 0}, poses, std::nullopt);
    const Eigen::MatrixXd covariance = system.dense().inverse();
    factors.move(system.dense().llt().solve(system.right_side()));
    const MapLines account = factors.account(poses, covariance, std::nullopt);
    const FloorLine found = line_through({account.lines[0].from_m, account.lines[0].to_m});
    sum += std::pow(found.left_m({2.0, 0.0}), 2);
    stated += system.dense().inverse()(2, 2) - std::pow(0.005, 2);  // less what the mounting adds
  }
  // The noise is found from 21 nodes, so that the ratio is near one and not better.
  EXPECT_LT(std::sqrt(sum / stated), 1.15);
  EXPECT_GT(std::sqrt(sum / stated), 0.6);
}

TEST(LineFactors, TheGraphIsStraightenedByItsLines) {
  Followed one(false);
  // As odometry that drifts has it: each edge turns a little.
  PoseGraph bent = one.walked.graph;
  for (Edge& edge : bent.edges) {
    edge.relative.heading_rad += 0.01;
    edge.information = Eigen::Vector3d(1e6, 1e6, 1e4).asDiagonal();
  }
  for (std::size_t i = 1; i < bent.nodes.size(); ++i) {
    bent.nodes[i].pose = bent.nodes[i - 1].pose * bent.edges[i - 1].relative;
  }
  const auto bend_m = [&](const std::vector<Pose2>& poses) {
    const FloorLine line = line_through(places_of(one.evidence.stretches[0], poses));
    double most_m = 0.0;
    for (const Eigen::Vector2d& at : places_of(one.evidence.stretches[0], poses)) {
      most_m = std::max(most_m, std::abs(line.left_m(at)));
    }
    return most_m;
  };
  std::vector<Pose2> before;
  for (const Node& node : bent.nodes) before.push_back(node.pose);
  EXPECT_LT(bend_m(poses_on_lines(bent, one.evidence)), 0.5 * bend_m(before));
  const std::vector<Pose2> same = poses_on_lines(bent, LineEvidence{});
  EXPECT_EQ(same[3].x_m, before[3].x_m);
}

// A line that was moved by less than the walls' word notices, among many that were not.
TEST(LineFactors, AStretchThatIsElsewhereHardlyPullsAndIsTold) {
  WalkedLines walked;
  for (int time = 0; time < 2; ++time) {
    walked.follow("a", {1.0, 0.5}, {4.0, 0.5});
    walked.follow("b", {4.0, 1.0}, {4.0, 3.0});
    walked.follow("c", {3.5, 3.5}, {0.5, 3.5});
  }
  walked.follow("a", {1.0, 0.56}, {4.0, 0.56});
  const LineEvidence evidence = agreeing_lines(walked.drive, walked.graph, std::nullopt);
  ASSERT_EQ(evidence.stretches.size(), 7u);
  const std::vector<Pose2> poses = walked.poses();
  LineFactors factors(evidence, poses);
  for (int i = 0; i < 6; ++i) {
    NormalSystem system(factors.unknowns());
    factors.add_to({system, [](std::size_t) { return -1; }, -1, 0}, poses, std::nullopt);
    factors.move(system.dense().llt().solve(system.right_side()));
  }
  const MapLines account =
      factors.account(poses, Eigen::MatrixXd::Identity(factors.unknowns(), factors.unknowns()), std::nullopt);
  EXPECT_NEAR(account.lines[0].from_m.y(), 0.5, 0.003);
  ASSERT_EQ(account.left_out.size(), 1u);
  EXPECT_EQ(account.left_out[0].stretch, 6u);
  EXPECT_EQ(account.left_out[0].from_s, walked.drive.followed[6].from_s);
}

TEST(LineFactors, TheAccountTellsWhereLinesLie) {
  const Followed one(true);
  LineFactors factors(one.evidence, one.truth);
  EXPECT_EQ(factors.unknowns(), 1 + 2 * 2);
  factors.bring_into(inverse(kSurvey));
  std::vector<Pose2> poses;
  for (const Pose2& pose : one.truth) poses.push_back(inverse(kSurvey) * pose);
  const MapLines account = factors.account(poses, 1e-4 * Eigen::MatrixXd::Identity(5, 5), SurveyUnknown{Pose2{}, 0});
  ASSERT_EQ(account.lines.size(), 2u);
  const MappedLine& a = account.lines[0];
  EXPECT_EQ(a.name, "a");
  EXPECT_EQ(a.stretches, 2);
  EXPECT_NEAR(a.followed_m, 5.0, 1e-9);
  EXPECT_LT((kSurvey * a.from_m - Eigen::Vector2d(1.0, 0.5)).norm(), 1e-9);
  EXPECT_LT((kSurvey * a.to_m - Eigen::Vector2d(4.0, 0.5)).norm(), 1e-9);
  EXPECT_NEAR(a.sd_m, 0.01, 1e-12);
  EXPECT_TRUE(a.measured);
  EXPECT_LT(a.survey_difference_m, 1e-9);
  EXPECT_LT(a.residual_rms_m, 1e-9);
  EXPECT_GT(a.own_sd_m, 0.5 * one.evidence.survey_sd_m);
}

TEST(LineFactors, NoLinesNoUnknowns) {
  LineFactors factors(LineEvidence{}, {});
  EXPECT_EQ(factors.unknowns(), 0);
  EXPECT_EQ(factors.cost({}, std::nullopt), 0.0);
}

}  // namespace
}  // namespace wainscot
