#include "graph/compare/wall_difference.hpp"

#include <cmath>
#include <vector>

#include <gtest/gtest.h>

#include "tests/graph/plan_pieces.hpp"

namespace wainscot {
namespace {

TEST(WallDifference, IsNothingForTheSameWallsInAnotherFrame) {
  const std::vector<WallPiece> first = flat_pieces();
  const Pose2 frame{3.0, -2.0, 1.1};
  const WallDifference difference = wall_difference(first, seen_from(first, frame), frame);
  EXPECT_EQ(difference.pieces, first.size());
  EXPECT_EQ(difference.paired, first.size());
  EXPECT_NEAR(difference.offset_95_m, 0.0, 1e-9);
  ASSERT_GT(difference.distances.size(), 10u);
  EXPECT_NEAR(difference.distance_95_m, 0.0, 1e-9);
}

// The first room is 5.000 m wide in one map and 4.970 m in the other: tapes along its x axis tell, others do not.
TEST(WallDifference, FindsARoomThatIsNarrower) {
  const WallDifference difference = wall_difference(flat_pieces(5.0), flat_pieces(4.97), {});
  ASSERT_FALSE(difference.distances.empty());
  int across = 0;
  for (const FacingDistance& d : difference.distances) {
    const bool is_across = std::abs(d.first_m - 5.0) < 1e-6 || std::abs(d.first_m - 3.0) < 1e-6;
    const bool touches_east_wall =
        std::max(d.from_m.x(), d.to_m.x()) > 4.9 && std::abs(d.from_m.y() - d.to_m.y()) < 0.1;
    EXPECT_NEAR(d.first_m - d.second_m, touches_east_wall ? 0.03 : 0.0, 1e-6) << d.from_m.transpose();
    EXPECT_NEAR(d.sd_m, 0.004, 1e-9);
    across += touches_east_wall && is_across ? 1 : 0;
  }
  EXPECT_GT(across, 3);
  EXPECT_NEAR(std::abs(difference.distances.front().first_m - difference.distances.front().second_m), 0.03, 1e-6);
}

// The second map has seen more of a panel that stands 3 cm before the wall: that makes the wall no nearer.
TEST(WallDifference, LaysNoTapeOnAStep) {
  std::vector<WallPiece> first = flat_pieces();
  std::vector<WallPiece> second = first;
  for (auto* pieces : {&first, &second}) {
    const double length_m = pieces == &first ? 0.75 : 1.5;
    add_face(*pieces, {2.0, 0.03}, {2.0 + length_m, 0.03});
  }
  const WallDifference difference = wall_difference(first, second, {});
  ASSERT_GT(difference.distances.size(), 10u);
  EXPECT_NEAR(difference.distances.front().first_m - difference.distances.front().second_m, 0.0, 1e-9);
  EXPECT_NEAR(difference.offset_95_m, 0.0, 1e-9);
  EXPECT_LT(difference.paired, difference.pieces);
}

TEST(WallDifference, OfNothingIsNothing) {
  const WallDifference difference = wall_difference({}, {}, {});
  EXPECT_EQ(difference.pieces, 0u);
  EXPECT_TRUE(difference.distances.empty());
}

}  // namespace
}  // namespace wainscot
