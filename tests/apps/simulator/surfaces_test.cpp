#include "apps/simulator/surfaces.hpp"

#include <map>

#include <gtest/gtest.h>

#include "apps/simulator/random_house.hpp"
#include "small_house.hpp"

namespace wainscot::simulator {
namespace {

TEST(Surfaces, AnEmptyRoomHasFourInnerFaces) {
  double inner_length = 0.0;
  double twice_area = 0.0;
  for (const Surface& s : surfaces_of(empty_room()).flat) {
    const Point middle = 0.5 * (s.from + s.to);
    if (middle.x_m < -0.01 || middle.x_m > 6.01 || middle.y_m < -0.01 || middle.y_m > 4.01) continue;
    inner_length += norm(s.to - s.from);
    twice_area += cross(s.from, s.to);
  }
  EXPECT_NEAR(inner_length, 20.0, 1e-6);
  // With the air on the left the faces run counter-clockwise around the room.
  EXPECT_NEAR(twice_area / 2.0, 24.0, 1e-6);
}

TEST(Surfaces, ADoorwayHasJambsAndALeafBesideIt) {
  const Surfaces surfaces = surfaces_of(two_rooms());
  std::map<SurfaceKind, int> kinds;
  for (const Surface& s : surfaces.flat) ++kinds[s.kind];
  EXPECT_EQ(kinds[SurfaceKind::glass], 2);  // both faces of the pane; its ends are in the wall
  EXPECT_GE(kinds[SurfaceKind::door], 3);
  EXPECT_EQ(surfaces.round.size(), 5U);  // the plant and four legs
  // The opening lies between y 0.55 and 1.45: nothing within 0.4 m of its middle.
  EXPECT_GT(clearance_m(surfaces, {3.0, 1.0}), 0.4);
  EXPECT_NEAR(clearance_m(surfaces, {0.5, 1.5}), 0.5, 1e-9);
}

TEST(Surfaces, EveryFaceOfRandomHousesHasAirOnItsLeftAndSolidOnItsRight) {
  for (const std::uint64_t number : {1U, 4U, 29U}) {
    const Plan plan = random_house(number);
    const Surfaces surfaces = surfaces_of(plan);
    // A box is solid where its outline says; walls too: probe both sides of each piece against the plan's own shapes.
    const auto solid = [&](Point p) {
      for (const Furniture& f : plan.furniture) {
        if (f.shape == FurnitureShape::box &&
            contains(rectangle(f.centre, f.length_m, f.width_m, f.heading_deg * kDegree_rad), p)) {
          return true;
        }
      }
      for (const Wall& w : plan.walls) {
        const Point along = unit(w.to - w.from);
        const double s = dot(p - w.from, along);
        if (s < 0.0 || s > norm(w.to - w.from) || std::abs(cross(along, p - w.from)) > w.thickness_m / 2.0) continue;
        bool open = false;
        for (const Opening& o : w.openings) open = open || std::abs(s - o.at_m) < o.width_m / 2.0;
        if (!open) return true;
      }
      return false;
    };
    int checked = 0;
    for (const Surface& s : surfaces.flat) {
      if (s.kind != SurfaceKind::wall && s.kind != SurfaceKind::furniture) continue;
      const Point side = 0.001 * left_of(unit(s.to - s.from));
      for (const double u : {0.1, 0.5, 0.9}) {
        const Point p = s.from + u * (s.to - s.from);
        EXPECT_FALSE(solid(p + side)) << number << ": " << p.x_m << " " << p.y_m;
        EXPECT_TRUE(solid(p - side)) << number << ": " << p.x_m << " " << p.y_m;
        ++checked;
      }
    }
    EXPECT_GT(checked, 150);
  }
}

TEST(Surfaces, RoundThingsBecomeFinePolygons) {
  Surfaces surfaces;
  surfaces.round = {{{1.0, 2.0}, 0.2, SurfaceKind::furniture, 0}};
  double twice_area = 0.0;
  for (const Surface& s : as_segments(surfaces)) {
    EXPECT_NEAR(norm(s.from - Point{1.0, 2.0}), 0.2, 1e-9);
    EXPECT_GT(norm(0.5 * (s.from + s.to) - Point{1.0, 2.0}), 0.2 - 0.0005 - 1e-9);
    twice_area += cross(s.from, s.to);
  }
  EXPECT_LT(twice_area, 0.0);  // clockwise: the air is outside
}

TEST(Surfaces, AMirrorCoversItsPartOfTheWall) {
  Plan plan = empty_room();
  plan.walls[0].mirrors = {{3.2, 1.5, true}};  // the south wall runs east, so its left face looks into the room
  double front = 0.0;
  for (const Surface& s : surfaces_of(plan).flat) {
    if (s.kind != SurfaceKind::mirror || std::abs(s.from.y_m - s.to.y_m) > 1e-9) continue;
    front += norm(s.to - s.from);
    EXPECT_NEAR(s.from.y_m, 0.005, 1e-9);
    EXPECT_GT(s.to.x_m, s.from.x_m);  // the air, on the left, is the room
  }
  EXPECT_NEAR(front, 1.5, 1e-9);
}

TEST(Surfaces, AShutLeafFillsItsOpening) {
  Plan plan = two_rooms();
  plan.walls.back().openings[0].leaf->open_deg = 0.0;
  // The leaf is 4 cm thick and stands in the middle of the wall.
  EXPECT_NEAR(clearance_m(surfaces_of(plan), {2.5, 1.0}), 0.5 - 0.02, 1e-9);
  EXPECT_EQ(surfaces_of(plan).faces, surfaces_of(two_rooms()).faces);  // faces keep their numbers
}

}  // namespace
}  // namespace wainscot::simulator
