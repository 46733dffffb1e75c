// A small fixed part of the accuracy bench, with bounds: simulated houses whose maps are known to be good stay good.
// The bounds are about twice what is reached, so that a change that costs accuracy shows before it hurts.

#include <algorithm>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "apps/simulator/random_house.hpp"
#include "tests/bench/house_score.hpp"

namespace wainscot::bench {
namespace {

/// Sanitizers make a house ten times as long, and one shows what they look for.
std::vector<std::uint64_t> houses() {
#ifdef WAINSCOT_UNDER_ASAN
  return {3};
#else
  return {3, 4, 5, 8};
#endif
}

class SimulatedHouse : public testing::TestWithParam<std::uint64_t> {};

TEST_P(SimulatedHouse, IsMappedWithinTheBounds) {
  simulator::Plan plan = simulator::random_house(GetParam());
  plan.defects = simulator::calibrated(plan.defects);
  plan.uncertainties_stated = true;
  const HouseScore score = score_house(plan, GetParam());
  ASSERT_EQ(score.failure, "");
  EXPECT_LT(score.path.position_rmse_m, 0.012);
  EXPECT_LT(score.shape.position_rmse_m, 0.007);
  EXPECT_LT(score.path.heading_rmse_rad, 0.2 * simulator::kDegree_rad);
  EXPECT_LT(score.path.position_rmse_m, 0.1 * score.odometry.position_rmse_m);
  EXPECT_GT(score.closures.right, 0);
  EXPECT_EQ(score.closures.wrong, 0);
  EXPECT_EQ(score.closures.revisits_closed, score.closures.revisits);
  EXPECT_GT(score.walls.errors_m.size(), 10U);
  EXPECT_LT(score.walls.median_error_m(), 0.008);
  EXPECT_GT(score.grid.recall, 0.97);
  EXPECT_LT(score.grid.stray, 0.02);
}

INSTANTIATE_TEST_SUITE_P(Accuracy, SimulatedHouse, testing::ValuesIn(houses()), testing::PrintToStringParamName());

TEST(SimulatedHouse, HasItsShapeWithoutConstantsToo) {
  simulator::Plan plan = simulator::random_house(3);
  plan.robot.motion_log = simulator::MotionLog::wheels;
  plan.defects.range_scale = simulator::Knob::fixed(1.006);
  const HouseScore score = score_house(plan, 3, Stated::no_constants);
  ASSERT_EQ(score.failure, "");
  EXPECT_LT(score.shape.position_rmse_m, 0.007);
  EXPECT_NEAR(score.shape.scale, 1.0 / 1.006, 0.003);  // the lidar's metre is the map's
  const auto held = [&score](const char* name) {
    return std::any_of(score.coverage.begin(), score.coverage.end(),
                       [name](const Coverage& coverage) { return coverage.name.starts_with(name) && coverage.held; });
  };
  EXPECT_TRUE(held("scale"));
  EXPECT_TRUE(held("drive.left_m_per_tick"));
}

TEST(HouseScore, ErrorsOfFacingWallsAreThoseOfTheirPieces) {
  simulator::Truth truth;
  truth.surfaces.flat = {{{0, 0}, {4, 0}, simulator::SurfaceKind::wall, 0},
                         {{4, 3}, {0, 3}, simulator::SurfaceKind::wall, 1}};
  truth.surfaces.faces = 2;
  Map map;
  for (double x = 0.15; x < 4.0; x += 0.3) {
    map.wall_pieces.push_back({{x, 0.002}, 1.5707963267948966, 0.15, 0.001, 50, 9});
    map.wall_pieces.push_back({{x, 2.995}, -1.5707963267948966, 0.15, 0.001, 50, 9});
  }
  const WallScore score = score_walls(map, truth, {});
  ASSERT_EQ(score.errors_m.size(), 8U);
  for (const double error : score.errors_m) {
    EXPECT_NEAR(error, -0.007, 1e-9);
  }
  EXPECT_EQ(score.within_goal(), 0.0);  // 7 mm over 3 m is more than 6 mm and 5 mm
  // The same map in another frame.
  const Pose2 truth_from_map{1.0, -2.0, 0.7};
  for (WallPiece& piece : map.wall_pieces) {
    piece.middle_m = inverse(truth_from_map) * piece.middle_m;
    piece.normal_rad -= 0.7;
  }
  const WallScore moved = score_walls(map, truth, truth_from_map);
  ASSERT_EQ(moved.errors_m.size(), 8U);
  EXPECT_NEAR(moved.errors_m.front(), -0.007, 1e-9);
}

TEST(HouseScore, TellsRightClosuresFromWrongOnes) {
  simulator::Truth truth;
  truth.surfaces.flat = {{{-1, -1}, {9, -1}, simulator::SurfaceKind::wall, 0}};
  truth.surfaces.faces = 1;
  Map map;
  // Out 8 m and back.
  for (int i = 0; i <= 160; ++i) {
    const double x = i <= 80 ? 0.1 * i : 16.0 - 0.1 * i;
    truth.trajectory.push_back({0.1 * i, {x, 0.0, 0.0}});
    if (i % 5 == 0) {
      Node node;
      node.time_s = 0.1 * i;
      map.graph.nodes.push_back(node);
    }
  }
  LoopCandidate candidate{0, 32, {}, {0.05, 0.0, 0.0}, 0.9, 0.0, 1.0, Verdict::accepted, ""};
  map.candidates = {candidate};
  ClosureScore score = score_closures(map, truth);
  EXPECT_EQ(score.right, 1);
  EXPECT_EQ(score.wrong, 0);
  EXPECT_EQ(score.revisits, 1);
  EXPECT_EQ(score.revisits_closed, 1);
  map.candidates[0].found = {0.11, 0.0, 0.0};
  score = score_closures(map, truth);
  EXPECT_EQ(score.wrong, 1);
  EXPECT_EQ(score.revisits_closed, 0);
  map.candidates[0].found = {0.0, 0.0, 0.06};
  EXPECT_EQ(score_closures(map, truth).wrong, 1);
  map.candidates[0].verdict = Verdict::rejected;
  EXPECT_EQ(score_closures(map, truth).wrong, 0);
}

TEST(HouseScore, AClosureIsJudgedByTheLidarsPoses) {
  simulator::Truth truth;
  truth.surfaces.flat = {{{-1, -1}, {9, -1}, simulator::SurfaceKind::wall, 0}};
  truth.surfaces.faces = 1;
  truth.lidar.x_m = 0.09;  // robot.yaml says 0
  // Back in the other direction, the lidar where it was.
  truth.trajectory = {{0.0, {0.0, 0.0, 0.0}}, {10.0, {8.0, 0.0, 0.0}}, {20.0, {0.18, 0.0, simulator::kPi}}};
  Map map;
  for (const double time_s : {0.0, 10.0, 20.0}) {
    Node node;
    node.time_s = time_s;
    map.graph.nodes.push_back(node);
  }
  map.candidates = {{0, 2, {}, {0.0, 0.0, simulator::kPi}, 0.9, 0.0, 1.0, Verdict::accepted, ""}};
  EXPECT_EQ(score_closures(map, truth, Pose2{}).right, 1);
  EXPECT_EQ(score_closures(map, truth).wrong, 1);
}

}  // namespace
}  // namespace wainscot::bench
