#include "graph/mapping/doubts.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

RefinedConstant constant(const char* name, double stated, double found) {
  return {name, "m", stated, 0.04 * stated, found, 0.001, true};
}

TEST(Doubts, NoWidthIsNegativeOrTwiceWhatATapeSays) {
  EXPECT_TRUE(is_possible(constant("drive.track_width_m", 0.3, 0.36)));
  EXPECT_FALSE(is_possible(constant("drive.track_width_m", 0.3, -0.18)));
  EXPECT_FALSE(is_possible(constant("drive.track_width_m", 0.3, 0.61)));
  EXPECT_FALSE(is_possible(constant("drive.left_m_per_tick", 1e-4, 4e-5)));
  EXPECT_TRUE(is_possible(constant("drive.left_m_per_tick", -1e-4, -1.1e-4)));
}

TEST(Doubts, APlaceMayHaveEitherSign) {
  EXPECT_TRUE(is_possible(constant("lidar.y_m", 0.01, -0.02)));
  EXPECT_TRUE(is_possible(constant("lidar.range_scale", 0.0, 1.0)));  // nothing stated
}

}  // namespace
}  // namespace wainscot
