// The scores of the bench of recordings, on drawn rooms and paths whose answers are known.

#include <gtest/gtest.h>

#include <cmath>
#include <cstddef>
#include <string>
#include <vector>

#include "core/errors.hpp"
#include "tests/bench/altered_drive.hpp"
#include "tests/bench/figure_table.hpp"
#include "tests/bench/pair_score.hpp"
#include "tests/bench/reference_score.hpp"
#include "tests/bench/wall_alignment.hpp"

namespace wainscot::bench {
namespace {

void draw_wall(const Eigen::Vector2d& from, const Eigen::Vector2d& to, double step_m,
               std::vector<Eigen::Vector2d>& cells) {
  const double length_m = (to - from).norm();
  for (double at_m = 0.0; at_m < length_m; at_m += step_m) cells.emplace_back(from + at_m / length_m * (to - from));
}

/// A flat of three rooms without symmetry.
std::vector<Eigen::Vector2d> flat(double step_m) {
  std::vector<Eigen::Vector2d> cells;
  const std::vector<Eigen::Vector2d> outline = {{0, 0}, {12, 0}, {12, 5}, {8, 5}, {8, 9}, {0, 9}};
  for (std::size_t i = 0; i < outline.size(); ++i) {
    draw_wall(outline[i], outline[(i + 1) % outline.size()], step_m, cells);
  }
  draw_wall({4, 0}, {4, 6}, step_m, cells);
  draw_wall({0, 5}, {2.5, 5}, step_m, cells);
  return cells;
}

TEST(WallAlignment, FindsAnyMotionAndCountsTheCellsOnWalls) {
  const Pose2 map_reference{31.0, -12.0, 2.2};
  std::vector<Eigen::Vector2d> cells;
  for (const Eigen::Vector2d& cell : flat(0.05)) cells.push_back(map_reference * cell);
  const std::size_t on_walls = cells.size();
  draw_wall(map_reference * Eigen::Vector2d(10, 2), map_reference * Eigen::Vector2d(10, 3), 0.05, cells);
  const WallAlignment found = align_to_walls(cells, flat(0.1));
  const Pose2 off = map_reference * found.reference_map;
  EXPECT_LT(off.translation().norm(), 0.05);
  EXPECT_LT(std::abs(wrap_angle(off.heading_rad)), 0.005);
  EXPECT_EQ(found.cells, cells.size());
  EXPECT_NEAR(found.on_walls, static_cast<double>(on_walls) / static_cast<double>(cells.size()), 1e-9);
  EXPECT_EQ(align_to_walls({}, flat(0.1)).on_walls, 0.0);
}

TEST(WallAlignment, CallsOccupiedWhatTheGridDoes) {
  OccupancyGrid grid{{0.1, 10, -10, 2, 2}, {0.4F, 0.5F, 0.6F, std::nanf("")}};
  const std::vector<Eigen::Vector2d> cells = occupied_cells(grid);
  ASSERT_EQ(cells.size(), 1U);
  EXPECT_NEAR((cells.front() - Eigen::Vector2d(1.05, -0.85)).norm(), 0.0, 1e-9);
}

TEST(ReferenceScore, PairsTheNearestStampOnly) {
  const std::vector<TimedPose> reference = {{1.0, {1, 0, 0}}, {1.03, {2, 0, 0}}};
  EXPECT_EQ(reference_at(reference, 1.016)->x_m, 2.0);
  EXPECT_EQ(reference_at(reference, 0.985)->x_m, 1.0);
  EXPECT_FALSE(reference_at(reference, 0.9).has_value());
  EXPECT_FALSE(reference_at(reference, 1.06).has_value());
}

/// Ten rows of odometry along a curve, and a scan with each.
Drive curve() {
  Drive drive;
  for (int i = 0; i < 10; ++i) {
    const double t = i;
    drive.odometry.push_back({t, {0.3 * t, 0.01 * t * t, 0.1 * t}});
    drive.scans.push_back({t, {{-1.0F, 2.0F, 0.0F}, {0.5F, 13.0F, 0.0F}, {1.0F, 3.0F, 0.0F}}});
  }
  drive.breaks = {2, 7};
  return drive;
}

TEST(AlteredDrive, IsAltered) {
  const Drive before = curve();
  std::vector<TimedPose> reference = before.odometry;
  for (const std::string& name : alterations()) {
    std::vector<TimedPose> other = reference;
    const Drive after = altered(before, other, name);
    ASSERT_FALSE(after.scans.empty()) << name;
    ASSERT_FALSE(after.odometry.empty()) << name;
  }
  EXPECT_THROW(altered(before, reference, "else"), InputError);
  EXPECT_THROW(altered(Drive{}, reference, "mirrored"), InputError);
}

TEST(AlteredDrive, HalvesKeepTheirOwnBreaks) {
  std::vector<TimedPose> reference = curve().odometry;
  const Drive second = altered(curve(), reference, "second-half");
  ASSERT_EQ(second.odometry.size(), 5U);
  EXPECT_EQ(second.odometry.front().time_s, 5.0);
  EXPECT_EQ(reference.front().time_s, 5.0);
  EXPECT_EQ(second.breaks, (std::vector<std::size_t>{2})) << "row 7 is the third one";
}

TEST(AlteredDrive, MirroringTwiceChangesNothing) {
  std::vector<TimedPose> reference;
  const Drive twice = altered(altered(curve(), reference, "mirrored"), reference, "mirrored");
  EXPECT_EQ(twice.odometry.back().pose.y_m, curve().odometry.back().pose.y_m);
  EXPECT_EQ(twice.scans.front().returns.front().angle_rad, -1.0F);
  EXPECT_EQ(altered(curve(), reference, "short-ranges").scans.front().returns.size(), 2U);
}

TEST(AlteredDrive, ScaledOdometryIsOfMotions) {
  std::vector<TimedPose> reference;
  const Drive scaled = altered(curve(), reference, "scaled-odometry");
  EXPECT_NEAR(scaled.odometry.back().pose.heading_rad, 1.08 * 0.9, 1e-12);
  const Pose2 first = between(scaled.odometry[0].pose, scaled.odometry[1].pose);
  EXPECT_NEAR(first.x_m, 0.93 * 0.3, 1e-12);
}

/// Twice round a square of 10 m, a node each metre.
PoseGraph two_rounds() {
  PoseGraph graph;
  Pose2 pose;
  for (int i = 0; i < 80; ++i) {
    Node node;
    node.scan = graph.nodes.size();
    node.time_s = i;
    node.pose = pose;
    node.covariance = Eigen::Vector3d(0.01, 0.01, 1e-4).asDiagonal();
    if (i > 0) {
      const Pose2 step = between(graph.nodes.back().pose, pose);
      graph.edges.push_back({EdgeKind::match, node.scan - 1, node.scan, step, 1e6 * Eigen::Matrix3d::Identity()});
    }
    graph.nodes.push_back(node);
    pose = pose * Pose2{1.0, 0.0, i % 10 == 9 ? 1.5707963267948966 : 0.0};
  }
  return graph;
}

NodeReferences same_poses(const PoseGraph& graph, const Pose2& frame) {
  NodeReferences references;
  for (const Node& node : graph.nodes) references.emplace_back(frame * node.pose);
  return references;
}

LoopCandidate closure(const PoseGraph& graph, std::size_t from, std::size_t to, const Pose2& error) {
  LoopCandidate candidate;
  candidate.from = from;
  candidate.to = to;
  candidate.found = between(graph.nodes[from].pose, graph.nodes[to].pose) * error;
  candidate.verdict = Verdict::accepted;
  return candidate;
}

TEST(RelationScore, TellsRightFromWrongAndWhatIsMissed) {
  const PoseGraph graph = two_rounds();
  const NodeReferences references = same_poses(graph, {3.0, 4.0, 0.5});
  const RelationScore none = score_relations({}, references, 0.5);
  EXPECT_GE(none.returned, 40U);  // the second round, and the last metre of the first
  EXPECT_EQ(none.missed, none.returned);
  EXPECT_EQ(none.stretches, 1U);
  const RelationScore some =
      score_relations({closure(graph, 20, 60, {0.3, 0.0, 0.02}), closure(graph, 5, 45, {0.0, 0.6, 0.0}),
                       closure(graph, 6, 46, {0.0, 0.0, 0.1}), closure(graph, 30, 31, {})},
                      references, 0.5);
  EXPECT_EQ(some.right, 2U);  // one of them between neighbours, which closes nothing
  EXPECT_EQ(some.wrong, 2U);
  EXPECT_EQ(none.missed - some.missed, 5U);  // 58 .. 62
  EXPECT_EQ(some.stretches, 2U);
}

TEST(IntervalScore, IsFullForSmallErrorsWhateverTheFrame) {
  PoseGraph graph = two_rounds();
  const NodeReferences references = same_poses(graph, {3.0, 4.0, 7.5});
  for (std::size_t i = 1; i < graph.nodes.size(); ++i) {
    graph.nodes[i].pose = graph.nodes[i].pose * Pose2{0.1, i % 2 == 0 ? 0.3 : -0.3, 0.0};
  }
  const IntervalScore score = score_intervals(graph, references);
  EXPECT_EQ(score.nodes, 79U);
  EXPECT_EQ(score.position_held, 0.0);  // 0.3 m of 0.1 m stated
  EXPECT_EQ(score.heading_held, 1.0);
  EXPECT_NEAR(score.error_per_sd[0], 1.0, 1e-6);
  EXPECT_NEAR(score.error_per_sd[1], 3.0, 1e-6);
  EXPECT_NEAR(score.error_per_sd[2], 0.0, 1e-6);
}

TEST(IntervalScore, AllowsForTheNoiseOfTheReference) {
  const PoseGraph graph = two_rounds();
  NodeReferences references = same_poses(graph, {});
  for (std::size_t i = 1; i < references.size(); i += 2) references[i] = *references[i] * Pose2{0.3, 0.0, 0.0};
  const Eigen::Vector3d noise = reference_noise(graph, references);
  EXPECT_NEAR(noise[0], 0.3 / (kNormalMedian * std::sqrt(2.0)), 0.01);  // of most neighbours: none turns between them
  EXPECT_LT(noise[2], 1e-9);
  const IntervalScore alone = score_intervals(graph, references);
  const IntervalScore allowed = score_intervals(graph, references, noise);
  EXPECT_LT(alone.position_held, 1.0);  // 0.3 m of 0.1 m
  EXPECT_EQ(allowed.position_held, 1.0);
  EXPECT_LT(allowed.error_per_sd[0], alone.error_per_sd[0]);
}

TEST(IntervalScore, BeginsAtTheFirstNodeThatHasAReference) {
  const PoseGraph graph = two_rounds();
  NodeReferences references = same_poses(graph, {1.0, 2.0, 3.0});
  for (std::size_t i = 0; i < 10; ++i) references[i].reset();
  const IntervalScore score = score_intervals(graph, references);
  EXPECT_EQ(score.nodes, 69U);
  EXPECT_EQ(score.position_held, 1.0);
  EXPECT_LT(score.start_off_m, 1e-6);
}

TEST(PairScore, TakesTheMotionOfMostAnswers) {
  const PoseGraph graph = two_rounds();
  const Pose2 other_own{5.0, -2.0, 1.0};
  std::vector<FoundScan> answers;
  for (const Node& node : graph.nodes) {
    const bool astray = answers.size() < 20;
    answers.push_back({(astray ? Pose2{0.0, 8.0, 0.0} : other_own) * node.pose, node.pose});
  }
  const std::optional<Pose2> motion = motion_of_most(answers);
  ASSERT_TRUE(motion.has_value());
  EXPECT_LT(between(*motion, other_own).translation().norm(), 1e-9);
  LocatedDrive located;
  judge(answers, *motion, located);
  EXPECT_EQ(located.judged, 80U);
  EXPECT_EQ(located.agreeing, 60U);
  EXPECT_LT(located.median_m, 1e-9);
  EXPECT_GT(located.worst_m, 5.0);
  EXPECT_FALSE(motion_of_most({}).has_value());
}

TEST(PairScore, CountsTheReturnsBesideWhatIsMapped) {
  OccupancyGrid grid{{0.1, -50, -50, 100, 100}, std::vector<float>(10000, 0.1F)};
  for (std::size_t row = 0; row < 100; ++row) grid.probability[row * 100 + 70] = 0.9F;  // a wall at x = 2.05
  const auto ends_at = [](float x_m, float y_m) {
    ScanPoint point{};
    point.x_m = x_m;
    point.y_m = y_m;
    return point;
  };
  const std::vector<ScanPoint> points = {ends_at(2.05F, 0.0F), ends_at(1.95F, 3.0F), ends_at(1.65F, 1.0F),
                                         ends_at(20.0F, 0.0F)};
  EXPECT_DOUBLE_EQ(mapped_share(grid, points, {}), 0.5);
  EXPECT_DOUBLE_EQ(mapped_share(grid, points, {0.4, 0.0, 0.0}), 0.25);  // the third one
  EXPECT_DOUBLE_EQ(mapped_share(grid, points, {0.0, 0.0, 3.0}), 0.0);
  EXPECT_DOUBLE_EQ(mapped_share(grid, {}, {}), 0.0);
}

TEST(FigureTable, LeavesCellsEmptyAndQuotes) {
  FigureTable table;
  table.begin_row();
  table.add("drive", "a");
  table.begin_row();
  table.add("why", "no, \"never\"");
  EXPECT_EQ(table.csv(), "drive,why\na,\n,\"no, \"\"never\"\"\"\n");
}

}  // namespace
}  // namespace wainscot::bench
