#include "core/beam_clip.hpp"

#include <algorithm>
#include <cmath>
#include <random>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

const GridFrame kFrame = {0.05, 0, 0, 8, 5};

bool inside(const Eigen::Vector2d& p) {
  return p.x() >= 0.0 && p.y() >= 0.0 && p.x() < kFrame.columns && p.y() < kFrame.rows;
}

TEST(BeamClip, LeavesWhatLiesInside) {
  Eigen::Vector2d from(1.5, 4.25);
  Eigen::Vector2d to(7.75, 0.5);
  EXPECT_TRUE(clip_to_frame(kFrame, from, to));
  EXPECT_EQ(from, Eigen::Vector2d(1.5, 4.25));
  EXPECT_EQ(to, Eigen::Vector2d(7.75, 0.5));
}

TEST(BeamClip, CutsAtTheBorder) {
  Eigen::Vector2d from(-4.0, 1.0);
  Eigen::Vector2d to(4.0, 3.0);
  EXPECT_TRUE(clip_to_frame(kFrame, from, to));
  EXPECT_LT((from - Eigen::Vector2d(0.0, 2.0)).norm(), 1e-9);
  EXPECT_EQ(to, Eigen::Vector2d(4.0, 3.0));
}

TEST(BeamClip, ARowOrColumnBesideTheFrameIsOutside) {
  Eigen::Vector2d from(-1.0, 5.5);
  Eigen::Vector2d to(9.0, 5.5);
  EXPECT_FALSE(clip_to_frame(kFrame, from, to));
  from = {9.0, -1.0};
  to = {9.0, 9.0};
  EXPECT_FALSE(clip_to_frame(kFrame, from, to));
}

// Against walking along the way in small steps.
TEST(BeamClip, KeepsThePartThatStepsFindInside) {
  std::mt19937 random(5);
  std::uniform_real_distribution<double> x(-6.0, 14.0);
  std::uniform_real_distribution<double> y(-6.0, 11.0);
  int cut = 0;
  int missed = 0;
  for (int i = 0; i < 500; ++i) {
    const Eigen::Vector2d begin(x(random), y(random));
    const Eigen::Vector2d end(x(random), y(random));
    constexpr int kSteps = 5000;
    int first = kSteps + 1;
    int last = -1;
    for (int step = 0; step <= kSteps; ++step) {
      if (!inside(begin + (end - begin) * (static_cast<double>(step) / kSteps))) continue;
      first = std::min(first, step);
      last = step;
    }
    Eigen::Vector2d from = begin;
    Eigen::Vector2d to = end;
    const bool found = clip_to_frame(kFrame, from, to);
    if (last < 0) {
      ++missed;
      EXPECT_TRUE(!found || (to - from).norm() < 0.02);
      continue;
    }
    ++cut;
    ASSERT_TRUE(found || first == last);
    if (!found) continue;
    EXPECT_TRUE(inside(from) && inside(to));
    const double step_cells = (end - begin).norm() / kSteps;
    EXPECT_LT((from - (begin + (end - begin) * (static_cast<double>(first) / kSteps))).norm(), step_cells + 1e-5);
    EXPECT_LT((to - (begin + (end - begin) * (static_cast<double>(last) / kSteps))).norm(), step_cells + 1e-5);
  }
  EXPECT_GT(cut, 100);
  EXPECT_GT(missed, 50);
}

}  // namespace
}  // namespace wainscot
