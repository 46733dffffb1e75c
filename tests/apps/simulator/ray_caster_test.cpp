#include "apps/simulator/ray_caster.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "apps/simulator/random_house.hpp"
#include "small_house.hpp"

namespace wainscot::simulator {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();

// The plain way: every face, one after the other.
double plain_range(const Surfaces& surfaces, Point from, Point along, bool through_glass) {
  double least = kInfinity;
  for (const Surface& s : surfaces.flat) {
    if (through_glass && s.kind == SurfaceKind::glass) continue;
    // from + r along = s.from + u side, by Cramer's rule.
    const Point side = s.to - s.from;
    const double determinant = along.x_m * -side.y_m + side.x_m * along.y_m;
    if (determinant == 0.0) continue;
    const Point way = s.from - from;
    const double r = (way.x_m * -side.y_m + side.x_m * way.y_m) / determinant;
    const double u = (along.x_m * way.y_m - way.x_m * along.y_m) / determinant;
    if (r >= 0.0 && u >= 0.0 && u <= 1.0) least = std::min(least, r);
  }
  for (const RoundSurface& c : surfaces.round) {
    // |from + r along - centre|^2 = radius^2, the smaller root.
    const Point way = from - c.centre;
    const double half_b = dot(way, along);
    const double square = half_b * half_b - (dot(way, way) - c.radius_m * c.radius_m);
    if (square < 0.0) continue;
    const double r = -half_b - std::sqrt(square);
    if (r >= 0.0) least = std::min(least, r);
  }
  return least;
}

TEST(RayCaster, FindsWhatThePlainWayFinds) {
  for (const std::uint64_t number : {2U, 5U, 12U}) {
    const Plan plan = random_house(number);
    const Surfaces surfaces = surfaces_of(plan);
    const RayCaster caster(surfaces);
    Random random(number, "rays");
    int hits = 0;
    for (int i = 0; i < 4000; ++i) {
      const Waypoint& w = plan.route[static_cast<std::size_t>(random.below(static_cast<int>(plan.route.size())))];
      const Point from = w.point + Point{random.uniform(-0.1, 0.1), random.uniform(-0.1, 0.1)};
      const Point along = i % 7 == 0 ? direction(kPi / 2.0 * random.below(4)) : direction(random.uniform(-kPi, kPi));
      const bool through = i % 2 == 0;
      const double expected = plain_range(surfaces, from, along, through);
      const Hit hit = caster.cast(from, along, 40.0, through);
      if (expected > 40.0) {
        EXPECT_EQ(hit.range_m, kInfinity);
      } else {
        EXPECT_NEAR(hit.range_m, expected, 1e-9);
        ++hits;
      }
    }
    EXPECT_GT(hits, 3500);
  }
}

TEST(RayCaster, SeesNothingBeyondItsReach) {
  const RayCaster caster(surfaces_of(empty_room()));
  EXPECT_NEAR(caster.cast({1.0, 1.0}, {1.0, 0.0}, 5.5, false).range_m, 5.0, 1e-12);
  EXPECT_EQ(caster.cast({1.0, 1.0}, {1.0, 0.0}, 4.5, false).range_m, kInfinity);
}

TEST(RayCaster, KnowsTheAngleOfIncidence) {
  const RayCaster caster(surfaces_of(empty_room()));
  EXPECT_NEAR(caster.cast({1.0, 1.0}, {1.0, 0.0}, 9.0, false).incidence_rad, 0.0, 1e-7);
  EXPECT_NEAR(caster.cast({3.0, 1.0}, direction(60.0 * kDegree_rad), 9.0, false).incidence_rad, 30.0 * kDegree_rad,
              1e-9);
  Surfaces pole;
  pole.round = {{{2.0, 0.0}, 0.5, SurfaceKind::furniture, 0}};
  EXPECT_NEAR(RayCaster(pole).cast({0.0, 0.25}, {1.0, 0.0}, 9.0, false).incidence_rad, 30.0 * kDegree_rad, 1e-9);
}

}  // namespace
}  // namespace wainscot::simulator
