#include "graph/adjust/paired_walls.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "tests/graph/adjust/still_nodes.hpp"

namespace wainscot {
namespace {

TEST(PairedWalls, EachReturnLiesOnItsPiece) {
  const StillNodes still;
  const AdjustmentState state = still.state();
  const PairedWalls walls = paired_walls(state.keyframes, state.poses, still.problem().range_noise);
  ASSERT_EQ(walls.faces.of_piece.size(), walls.pieces.lines().size());
  EXPECT_GE(walls.faces.count, 5) << "the room's longer walls";
  int shared = 0;
  for (std::size_t k = 0; k < state.poses.size(); ++k) {
    const std::vector<ScanPoint>& points = state.keyframes[k].points;
    ASSERT_EQ(walls.piece_of[k].size(), points.size());
    for (std::size_t i = 0; i < points.size(); ++i) {
      EXPECT_EQ(walls.piece_of[k][i] == LineMap::kNone, !points[i].has_normal());
      const Line* line = walls.shared_piece(k, i);
      if (line == nullptr) continue;
      ++shared;
      EXPECT_GE(line->nodes, 2);
      EXPECT_LT(std::abs(line->distance_of(state.poses[k] * Eigen::Vector2d(points[i].x_m, points[i].y_m))), 0.05);
    }
  }
  EXPECT_GT(shared, 1000);
}

}  // namespace
}  // namespace wainscot
