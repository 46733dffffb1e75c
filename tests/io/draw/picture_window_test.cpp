#include "io/draw/picture_window.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(PictureWindow, HoldsPathsThatLeaveTheMapByLess) {
  PictureWindow window;
  window.include({0.0, 0.0});
  window.include({10.0, 4.0});
  EXPECT_FALSE(widen_for_paths(window, {{{1.0, 1.0, 0.0}, {3.0, 12.0, 0.0}}, {{-2.0, 1.0, 0.0}}}));
  EXPECT_EQ(window.low_m, Eigen::Vector2d(-2.0, 0.0));
  EXPECT_EQ(window.high_m, Eigen::Vector2d(10.0, 12.0));
}

// By its larger side, 10 m, and no further.
TEST(PictureWindow, SaysWhatLeavesIt) {
  PictureWindow window;
  window.include({0.0, 0.0});
  window.include({10.0, 4.0});
  EXPECT_TRUE(widen_for_paths(window, {{{1.0, -30.0, 0.0}}}));
  EXPECT_EQ(window.low_m, Eigen::Vector2d(0.0, -10.0));
  EXPECT_EQ(window.high_m, Eigen::Vector2d(10.0, 4.0));
}

TEST(PictureWindow, OfNothingIsAPoint) {
  PictureWindow window;
  EXPECT_TRUE(window.is_nothing());
  EXPECT_FALSE(widen_for_paths(window, {}));
  EXPECT_EQ(window.size_m(), Eigen::Vector2d::Zero());
}

}  // namespace
}  // namespace wainscot
