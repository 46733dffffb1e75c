#include "graph/mapping/stage_traces.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include <gtest/gtest.h>

#include "graph/mapping/mapper.hpp"
#include "tests/graph/scene.hpp"
#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

/// One ring, driven and explained once for all tests.
const Drive& ring_drive() {
  static const Drive drive = driven(ring_house()).drive;
  return drive;
}

const DriveExplanation& ring() {
  static const DriveExplanation explanation = explain_drive(ring_drive(), {}, {});
  return explanation;
}

double furthest_m(const Replay& replay, const std::vector<Pose2>& from) {
  double furthest = 0.0;
  for (std::size_t i = 0; i < from.size(); ++i) {
    furthest = std::max(furthest, apart_m(replay.poses_by_iteration.back()[i], from[i]));
  }
  return furthest;
}

const Replay& replay(bool from_odometry, bool true_closures, bool false_closure, bool robust) {
  const auto& all = ring().graph.replays;
  return *std::find_if(all.begin(), all.end(), [&](const Replay& r) {
    return r.from_odometry == from_odometry && r.true_closures == true_closures && r.false_closure == false_closure &&
           r.robust == robust;
  });
}

TEST(StageTraces, TheMapIsTheOneThatBuildMakes) {
  const Map map = build_map(ring_drive(), {});
  const Map& explained = ring().map;
  ASSERT_EQ(map.trajectory.size(), explained.trajectory.size());
  EXPECT_EQ(apart_m(map.trajectory.back().pose, explained.trajectory.back().pose), 0.0);
  EXPECT_EQ(map.candidates.size(), explained.candidates.size());
  EXPECT_TRUE(std::equal(map.grid.probability.begin(), map.grid.probability.end(), explained.grid.probability.begin(),
                         [](float a, float b) { return a == b || (std::isnan(a) && std::isnan(b)); }));
}

TEST(StageTraces, TheFirstMatchIsTheOneThatTheMapperMade) {
  const MatchExplanation& match = ring().match;
  ASSERT_GE(match.node, 1U);
  ASSERT_EQ(match.matches.size(), 6U);
  EXPECT_TRUE(match.matches.front().shift.isZero());
  EXPECT_EQ(apart_m(match.matches.front().traced.result.pose, ring().graph.tracked[match.node]), 0.0);
  EXPECT_EQ(apart_m(match.kept, ring().graph.tracked[match.node]), 0.0);
  for (std::size_t i = 1; i < 5; ++i) {
    EXPECT_LT(apart_m(match.matches[i].traced.result.pose, ring().graph.tracked[match.node]), 0.03) << i;
  }
}

TEST(StageTraces, TheMatchMayBeChosenByItsTime) {
  ExplainOptions options;
  options.match_at_s = ring().graph.times_s[9] + 0.01;
  EXPECT_EQ(explain_drive(ring_drive(), options, {}).match.node, 9U);
}

TEST(StageTraces, TheOptimiserPullsTheGraphFromTheWheelsPathToWhereItGoesFromTheTrackedOne) {
  const Replay& odometry = replay(true, true, false, true);
  const Replay& tracked = replay(false, true, false, true);
  EXPECT_EQ(apart_m(odometry.poses_by_iteration.front().back(), ring().graph.odometry.back()), 0.0);
  EXPECT_LT(odometry.cost_by_iteration.back(), odometry.cost_by_iteration.front());
  EXPECT_LT(furthest_m(odometry, tracked.poses_by_iteration.back()), 1e-3);
  EXPECT_LT(furthest_m(tracked, ring().graph.adjusted), 0.05);
}

TEST(StageTraces, OneFalseClosureFoldsTheHouseUnlessClosuresLoseWeight) {
  ASSERT_TRUE(ring().graph.false_closure);
  EXPECT_EQ(ring().graph.false_closure->tested.verdict, Verdict::rejected);
  const double believed = furthest_m(replay(false, true, true, false), ring().graph.adjusted);
  const double doubted = furthest_m(replay(false, true, true, true), ring().graph.adjusted);
  EXPECT_GT(believed, 0.3);
  EXPECT_LT(doubted, 0.5 * believed);
}

TEST(StageTraces, WithoutClosuresThePathByMatchingStays) {
  EXPECT_LT(furthest_m(replay(false, false, false, true), ring().graph.tracked), 1e-6);
  EXPECT_GT(furthest_m(replay(false, false, true, false), ring().graph.tracked), 0.3) << "nothing holds against it";
}

TEST(StageTraces, CellsTellWhichBeamsMadeThem) {
  const std::vector<CellExplanation>& cells = ring().cells;
  ASSERT_GE(cells.size(), 2U);
  EXPECT_EQ(cells[0].what, "wall");
  EXPECT_GT(cells[0].probability, 0.9);
  EXPECT_EQ(cells[1].what, "floor");
  EXPECT_LT(cells[1].probability, 0.1);
  for (const CellExplanation& cell : cells) {
    ASSERT_FALSE(cell.events.empty());
    const std::size_t side = 2 * CellExplanation::kReach + 1;
    ASSERT_EQ(cell.around.size(), side * side);
    EXPECT_EQ(static_cast<double>(cell.around[cell.around.size() / 2]), cell.probability);
    std::size_t beams = 0;
    for (const ExplainedEvent& event : cell.events) {
      if (!event.beam) continue;
      ++beams;
      const Eigen::Vector2d end(static_cast<double>(event.beam->end_x_m), static_cast<double>(event.beam->end_y_m));
      if (event.event.hit) {
        EXPECT_LT((end - cell.middle_m).norm(), 0.04);
      }
    }
    EXPECT_GT(beams, 0U);
  }
}

}  // namespace
}  // namespace wainscot
