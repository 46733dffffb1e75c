#include "graph/adjust/return_noise.hpp"

#include <cmath>
#include <functional>
#include <random>
#include <utility>

#include <gtest/gtest.h>

#include "graph/adjust/adjustment_round.hpp"
#include "tests/graph/adjust/still_nodes.hpp"

namespace wainscot {
namespace {

/// What is found after some rounds, of scans whose ranges were changed; robot.yaml states 15 mm, so that what is added
/// for walls that are not flat counts little.
struct Found {
  ReturnNoise noise;
  double variance_factor = 1.0;

  /// `error_m`: of the return at an angle of a scan.
  explicit Found(const std::function<double(std::size_t scan, double angle_rad)>& error_m) {
    constexpr int kRounds = 5;
    StillNodes still;
    for (int round = 1; round < 8; ++round) {  // so many that the walls' own unknowns hardly count
      for (std::size_t i = 0; i < 5; ++i)
        still.truth.push_back(still.truth[i] * Pose2{0.03 * round, 0.05, 0.1 * round});
    }
    still.drive.robot.lidar.noise_m = 0.015;
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
    for (int i = 1; i < kRounds; ++i) {
      round.moved.return_noise = found_return_noise(problem, round.moved, round.walls);
      round = adjustment_round(problem, std::move(round.moved));
    }
    noise = round.moved.return_noise;
    variance_factor = wainscot::variance_factor(problem, round.moved, round.walls);
  }
};

TEST(ReturnNoise, IsFoundWhateverIsStated) {
  constexpr double kNotFlat = 0.004 / 0.015;  // what matching adds for walls that are not flat, which these are
  for (const double true_ratio : {0.5, 1.0, 1.8}) {
    std::mt19937 random(1);
    std::normal_distribution<double> noise(0.0, 0.015 * true_ratio);
    const Found found([&](std::size_t, double) { return noise(random); });
    EXPECT_NEAR(std::hypot(found.noise.range_ratio, kNotFlat), true_ratio, 0.06 * true_ratio);
    EXPECT_LT(found.noise.group_sd_m, 0.2 * 0.015 * true_ratio) << "independent returns share nothing";
    EXPECT_LT(found.variance_factor, 1.5);
  }
}

TEST(ReturnNoise, SeesWhatTheReturnsOfAScanOnAWallHaveInCommon) {
  std::mt19937 random(3);
  std::normal_distribution<double> noise(0.0, 0.015);
  // As by a lidar that rocks: each scan errs by a wave of its own, of 20 mm / sqrt(2). Some of it looks like a motion.
  std::vector<double> phases;
  for (int i = 0; i < 40; ++i) phases.push_back(std::uniform_real_distribution<double>(0.0, 6.3)(random));
  const Found found([&](std::size_t scan, double angle_rad) {
    return noise(random) + 0.02 * std::sin(3.0 * angle_rad + phases[scan]);
  });
  EXPECT_NEAR(found.noise.range_ratio, 1.0, 0.15);
  EXPECT_GT(found.noise.group_sd_m, 0.008);
  EXPECT_LT(found.noise.group_sd_m, 0.016);
}

TEST(ReturnNoise, IsLeftAsItIsWhereTooLittleIsThereToTell) {
  const StillNodes still;
  AdjustmentState state = still.state();
  state.return_noise = {1.7, 0.003};
  PairedWalls none;
  for (const Keyframe& keyframe : state.keyframes) none.piece_of.emplace_back(keyframe.points.size(), LineMap::kNone);
  const ReturnNoise found = found_return_noise(still.problem(), state, none);
  EXPECT_EQ(found.range_ratio, 1.7);
  EXPECT_EQ(found.group_sd_m, 0.003);
  EXPECT_EQ(variance_factor(still.problem(), state, none), 1.0);
}

}  // namespace
}  // namespace wainscot
