#include "graph/adjust/group_shares.hpp"

#include <map>

#include <gtest/gtest.h>

#include "tests/graph/adjust/still_nodes.hpp"

namespace wainscot {
namespace {

TEST(GroupShares, AGroupHasTheWeightThatBothVariancesLeaveIt) {
  constexpr double kGroupSdM = 0.004;
  const StillNodes still;
  const AdjustmentState state = still.state();
  const RangeNoise noise{0.02, 0.0};
  const PairedWalls walls = paired_walls(state.keyframes, state.poses, noise);
  GroupShares shares(walls, noise, kGroupSdM);
  std::size_t groups = 0;
  for (std::size_t k = 0; k < state.poses.size(); ++k) {
    const std::vector<ScanPoint>& points = state.keyframes[k].points;
    const std::vector<double> of_returns = shares.of_node(k, points);
    struct Sums {
      double alone = 0.0;
      double shared = 0.0;
    };
    std::map<std::int32_t, Sums> sums;
    for (std::size_t i = 0; i < points.size(); ++i) {
      if (walls.shared_piece(k, i) == nullptr) continue;
      const double weight = 1.0 / across_variance(points[i], noise);
      sums[walls.piece_of[k][i]].alone += weight;
      sums[walls.piece_of[k][i]].shared += of_returns[i] * weight;
    }
    for (const auto& [piece, sum] : sums) {
      EXPECT_NEAR(1.0 / sum.shared, 1.0 / sum.alone + kGroupSdM * kGroupSdM, 1e-12)
          << "node " << k << " piece " << piece;
    }
    groups += sums.size();
  }
  EXPECT_GT(groups, 100U);
}

TEST(GroupShares, WithoutAnErrorInCommonEachReturnCountsWhole) {
  const StillNodes still;
  const AdjustmentState state = still.state();
  const RangeNoise noise{0.02, 0.0};
  const PairedWalls walls = paired_walls(state.keyframes, state.poses, noise);
  GroupShares shares(walls, noise, 0.0);
  for (const double share : shares.of_node(1, state.keyframes[1].points)) EXPECT_EQ(share, 1.0);
}

}  // namespace
}  // namespace wainscot
