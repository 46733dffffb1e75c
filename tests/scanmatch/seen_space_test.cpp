#include "scanmatch/seen_space.hpp"

#include <cmath>
#include <limits>
#include <numbers>

#include <gtest/gtest.h>
#include <rapidcheck.h>

#include "tests/scanmatch/room.hpp"

namespace wainscot {
namespace {

/// What one dense turn from the middle of a room of 4 m x 3 m sees.
SeenSpace seen_from_the_middle() {
  SeenSpace seen({0.0, 0.0}, 4.0);
  for (const ScanPoint& p : scan_points(rectangle(4.0, 3.0), {}, {1440})) seen.add_beam({0.0, 0.0}, {p.x_m, p.y_m});
  return seen;
}

TEST(SeenSpace, TheFloorIsFreeTheWallsAreNotAndBehindThemNobodySaw) {
  const SeenSpace seen = seen_from_the_middle();
  for (double x = -1.65; x < 1.7; x += 0.1) {
    for (double y = -1.15; y < 1.2; y += 0.1) {
      EXPECT_TRUE(seen.is_free({x, y})) << x << ", " << y;
      EXPECT_TRUE(seen.is_seen({x, y}));
    }
  }
  for (double x = -1.95; x < 2.0; x += 0.05) {
    EXPECT_FALSE(seen.is_free({x, 1.49})) << "a wall is not free, x " << x;
    EXPECT_TRUE(seen.is_seen({x, 1.49}));
    EXPECT_FALSE(seen.is_free({x, 1.85}));
    EXPECT_FALSE(seen.is_seen({x, 1.85})) << "behind the wall, x " << x;
  }
}

TEST(SeenSpace, OneOrTwoCrossingsDoNotMakeAFreeCell) {
  SeenSpace seen({0.0, 0.0}, 3.0);
  for (int beams = 1; beams <= 3; ++beams) {
    seen.add_beam({0.05, 0.05}, {2.05, 0.05});
    EXPECT_TRUE(seen.is_seen({1.05, 0.05}));
    EXPECT_EQ(seen.is_free({1.05, 0.05}), beams >= 3);
  }
}

TEST(SeenSpace, OneEndOutweighsAnyNumberOfCrossings) {
  SeenSpace seen({0.0, 0.0}, 3.0);
  for (int i = 0; i < 1000; ++i) seen.add_beam({0.05, 0.05}, {2.05, 0.05});  // more than a byte can count
  EXPECT_TRUE(seen.is_free({1.05, 0.05}));
  seen.add_beam({0.05, 1.05}, {1.05, 0.15});  // ends in the cell beside
  EXPECT_FALSE(seen.is_free({1.05, 0.05}));
  EXPECT_TRUE(seen.is_free({0.75, 0.05}));
}

TEST(SeenSpace, OutsideTheSquareNothingIsKnownAndNothingBreaks) {
  SeenSpace seen({10.0, -20.0}, 1.0);
  for (int i = 0; i < 5; ++i) seen.add_beam({5.0, -20.05}, {15.0, -20.05});  // passes through, begins and ends outside
  EXPECT_TRUE(seen.is_free({10.0, -20.05}));
  for (const Eigen::Vector2d& p :
       {Eigen::Vector2d(5.5, -20.05), Eigen::Vector2d(14.0, -20.05), Eigen::Vector2d(1e9, 1e9),
        Eigen::Vector2d(-1e300, 0.0), Eigen::Vector2d(std::numeric_limits<double>::quiet_NaN(), 0.0)}) {
    EXPECT_FALSE(seen.is_free(p));
    EXPECT_FALSE(seen.is_seen(p));
  }
}

TEST(SeenSpace, ABeamWithoutLengthIsOnlyAnEnd) {
  SeenSpace seen({0.0, 0.0}, 1.0);
  for (int i = 0; i < 5; ++i) seen.add_beam({0.05, 0.05}, {0.05, 0.05});
  EXPECT_TRUE(seen.is_seen({0.05, 0.05}));
  EXPECT_FALSE(seen.is_free({0.05, 0.05}));
  EXPECT_FALSE(seen.is_seen({0.35, 0.05}));
}

TEST(SeenSpace, ANewOneHasSeenNothing) {
  const SeenSpace seen({0.0, 0.0}, 1.0);
  EXPECT_FALSE(seen.is_free({0.0, 0.0}));
  EXPECT_FALSE(seen.is_seen({0.0, 0.0}));
}

// Free implies seen; a beam's end is never free; what lies well behind every beam's end is never seen.
TEST(SeenSpaceProperty, EndsAreNeverFree) {
  EXPECT_TRUE(rc::check([] {
    const auto place = [] {
      return Eigen::Vector2d(0.01 * *rc::gen::inRange(-180, 180), 0.01 * *rc::gen::inRange(-180, 180));
    };
    SeenSpace seen({0.0, 0.0}, 2.0);
    const int beams = *rc::gen::inRange(1, 60);
    const Eigen::Vector2d origin = place();
    std::vector<Eigen::Vector2d> hits;
    for (int i = 0; i < beams; ++i) {
      hits.push_back(place());
      seen.add_beam(origin, hits.back());
    }
    for (const Eigen::Vector2d& hit : hits) {
      RC_ASSERT(seen.is_seen(hit));
      RC_ASSERT(!seen.is_free(hit));
    }
    const Eigen::Vector2d any = place();
    RC_ASSERT(!seen.is_free(any) || seen.is_seen(any));
    double furthest = 0.0;
    for (const Eigen::Vector2d& hit : hits) furthest = std::max(furthest, (hit - origin).norm());
    if ((any - origin).norm() > furthest + 0.3) RC_ASSERT(!seen.is_seen(any));
  }));
}

}  // namespace
}  // namespace wainscot
