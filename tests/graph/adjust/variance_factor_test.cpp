#include "graph/adjust/variance_factor.hpp"

#include <cmath>
#include <functional>
#include <random>

#include <gtest/gtest.h>

#include "graph/adjust/adjustment_round.hpp"
#include "tests/graph/adjust/still_nodes.hpp"

namespace wainscot {
namespace {

/// After two rounds, of scans whose ranges were changed. `error_m`: of the return at an angle of a scan.
double factor_with(const std::function<double(std::size_t scan, double angle_rad)>& error_m) {
  StillNodes still;
  for (int round = 1; round < 8; ++round) {  // so many that the walls' own unknowns hardly count
    for (std::size_t i = 0; i < 5; ++i) still.truth.push_back(still.truth[i] * Pose2{0.03 * round, 0.05, 0.1 * round});
  }
  still.drive.robot.lidar.noise_m = 0.015;  // so that what is added for walls that are not flat counts little
  still.drive.scans.clear();
  still.drive.odometry.clear();
  for (std::size_t i = 0; i < still.truth.size(); ++i) {
    still.drive.scans.push_back(scan_at(crooked_room(), still.truth[i], static_cast<double>(i)));
    for (Return& r : still.drive.scans.back().returns) {
      r.range_m += static_cast<float>(error_m(i, static_cast<double>(r.angle_rad)));
    }
    still.drive.odometry.push_back({static_cast<double>(i), still.truth[i]});
  }
  still.steps = odometry_steps(still.drive);
  const AdjustmentProblem problem = still.problem();
  AdjustmentRound round = adjustment_round(problem, still.state());
  round = adjustment_round(problem, std::move(round.moved));
  return variance_factor(problem, round.moved, round.walls);
}

TEST(VarianceFactor, IsOneWhereTheNoiseIsAsStatedAndIndependent) {
  std::mt19937 random(1);
  std::normal_distribution<double> noise(0.0, 0.015);
  const double factor = factor_with([&](std::size_t, double) { return noise(random); });
  EXPECT_GT(factor, 0.7);
  EXPECT_LT(factor, 1.4);
}

TEST(VarianceFactor, GrowsWithTheSquareOfTheNoise) {
  std::mt19937 random(2);
  std::normal_distribution<double> half(0.0, 0.0075);
  EXPECT_NEAR(factor_with([&](std::size_t, double) { return half(random); }), 0.25, 0.1);
}

TEST(VarianceFactor, SeesWhatTheReturnsOfAScanOnAWallHaveInCommon) {
  std::mt19937 random(3);
  std::normal_distribution<double> noise(0.0, 0.015);
  // As by a lidar that rocks: each scan errs by a wave of its own.
  std::vector<double> phases;
  for (int i = 0; i < 40; ++i) phases.push_back(std::uniform_real_distribution<double>(0.0, 6.3)(random));
  const double factor = factor_with([&](std::size_t scan, double angle_rad) {
    return noise(random) + 0.02 * std::sin(3.0 * angle_rad + phases[scan]);
  });
  EXPECT_GT(factor, 3.0);
}

TEST(VarianceFactor, IsOneWhereTooLittleIsThereToTell) {
  const StillNodes still;
  const AdjustmentState state = still.state();
  PairedWalls none;
  for (const Keyframe& keyframe : state.keyframes) none.piece_of.emplace_back(keyframe.points.size(), LineMap::kNone);
  EXPECT_EQ(variance_factor(still.problem(), state, none), 1.0);
}

}  // namespace
}  // namespace wainscot
