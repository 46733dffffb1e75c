#include "apps/simulator/hard_rooms.hpp"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "apps/simulator/motion.hpp"
#include "apps/simulator/ray_caster.hpp"

namespace wainscot::simulator {
namespace {

TEST(HardRooms, TheFlatsAreMirrorImagesAndBothAreDriven) {
  const Plan plan = mirrored_flats(1);
  const RayCaster caster(surfaces_of(plan));
  for (int i = 0; i < 200; ++i) {
    // What is seen to the right from the middle of the stairwell is seen to the left as well.
    const Point from = {0.0, 0.004 * (i - 100)};
    const Point along = direction((i - 100) * 0.015);
    const double right = caster.cast(from, along, 30.0, true).range_m;
    const double left = caster.cast(from, {-along.x_m, along.y_m}, 30.0, true).range_m;
    EXPECT_NEAR(right, left, 1e-6);
  }
  double west = 0.0;
  double east = 0.0;
  for (const Waypoint& w : plan.route) {
    west = std::min(west, w.point.x_m);
    east = std::max(east, w.point.x_m);
  }
  EXPECT_LT(west, -4.0);
  EXPECT_GT(east, 4.0);
}

TEST(HardRooms, TheDiningHallIsFullOfThinLegs) {
  const Plan plan = thin_legs(1);
  const Surfaces surfaces = surfaces_of(plan);
  EXPECT_GT(surfaces.round.size(), 60U);
  for (const RoundSurface& leg : surfaces.round) EXPECT_LE(leg.radius_m, 0.025);
}

TEST(HardRooms, ThereAreMirrorsAndPanes) {
  const Plan plan = glass_and_mirrors(1);
  double mirrors = 0.0;
  double panes = 0.0;
  for (const Surface& s : surfaces_of(plan).flat) {
    mirrors += s.kind == SurfaceKind::mirror ? norm(s.to - s.from) : 0.0;
    panes += s.kind == SurfaceKind::glass ? norm(s.to - s.from) : 0.0;
  }
  EXPECT_GT(mirrors, 2.0);
  EXPECT_GT(panes, 8.0);  // both faces
}

TEST(HardRooms, TheChainOfRoomsNeverComesBack) {
  for (std::uint64_t seed = 1; seed <= 3; ++seed) {
    const Plan plan = no_loop(seed);
    const Motion motion = drive_route(plan, seed);
    const RayCaster caster(surfaces_of(plan));
    // A place within sight and 1 m of an earlier one was left no more than some metres of way ago.
    std::vector<Point> path;
    for (double t = 0.0; t < motion.duration_s(); t += 0.5) path.push_back(motion.at(t).position);
    std::vector<double> way = {0.0};
    for (std::size_t i = 1; i < path.size(); ++i) way.push_back(way.back() + norm(path[i] - path[i - 1]));
    for (std::size_t i = 0; i < path.size(); ++i) {
      for (std::size_t k = 0; k < i; ++k) {
        const double apart = norm(path[i] - path[k]);
        if (apart > 1.0 || way[i] - way[k] < 8.0) continue;
        EXPECT_LT(caster.cast(path[i], unit(path[k] - path[i]), apart, true).range_m, apart) << seed << ", " << i;
      }
    }
    EXPECT_GT(way.back(), 35.0);
  }
}

}  // namespace
}  // namespace wainscot::simulator
