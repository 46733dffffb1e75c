#include "graph/calibrate/tick_clock.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TickClock clock_of_three_rows() { return TickClock({{1.0, 0, 0}, {2.0, 100, -10}, {4.0, 300, -10}}); }

TEST(TickClock, IsLinearBetweenRowsAndHeldOutside) {
  const TickClock clock = clock_of_three_rows();
  EXPECT_EQ(clock.begin_s(), 1.0);
  EXPECT_EQ(clock.end_s(), 4.0);
  EXPECT_DOUBLE_EQ(clock.at(1.5).left, 50.0);
  EXPECT_DOUBLE_EQ(clock.at(1.5).right, -5.0);
  EXPECT_DOUBLE_EQ(clock.at(3.0).left, 200.0);
  EXPECT_DOUBLE_EQ(clock.at(0.0).left, 0.0);
  EXPECT_DOUBLE_EQ(clock.at(9.0).left, 300.0);
}

TEST(TickClock, PiecesEndAtTheRowsInBetween) {
  const std::vector<Ticks> pieces = clock_of_three_rows().pieces(1.5, 3.0);
  ASSERT_EQ(pieces.size(), 2U);
  EXPECT_DOUBLE_EQ(pieces[0].left, 50.0);
  EXPECT_DOUBLE_EQ(pieces[0].right, -5.0);
  EXPECT_DOUBLE_EQ(pieces[1].left, 100.0);
  EXPECT_DOUBLE_EQ(pieces[1].right, 0.0);
}

TEST(TickClock, PiecesAddUpToTheChange) {
  const TickClock clock = clock_of_three_rows();
  for (const double begin_s : {0.2, 1.0, 1.7}) {
    double left = 0.0;
    for (const Ticks& piece : clock.pieces(begin_s, 3.9)) left += piece.left;
    EXPECT_DOUBLE_EQ(left, clock.at(3.9).left - clock.at(begin_s).left) << begin_s;
  }
}

}  // namespace
}  // namespace wainscot
