#include "graph/seen_round.hpp"

#include <limits>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(SeenRound, TwoCellsAroundMustHaveBeenSeen) {
  OccupancyGrid grid{{0.05, 0, 0, 10, 8}, std::vector<float>(80, 0.1F)};
  EXPECT_TRUE(is_seen_all_round(grid, 2, 2));
  EXPECT_TRUE(is_seen_all_round(grid, 7, 5));
  EXPECT_FALSE(is_seen_all_round(grid, 8, 5));  // the grid ends
  grid.probability[4 * 10 + 4] = std::numeric_limits<float>::quiet_NaN();
  EXPECT_FALSE(is_seen_all_round(grid, 2, 2));
  EXPECT_FALSE(is_seen_all_round(grid, 6, 5));
  EXPECT_TRUE(is_seen_all_round(grid, 7, 5));
}

}  // namespace
}  // namespace wainscot
