#include "apps/simulator/surfaces.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>

namespace wainscot::simulator {

namespace {

constexpr double kPaneThickness_m = 0.008;
constexpr double kLeafThickness_m = 0.04;
constexpr double kMirrorThickness_m = 0.005;

struct Solid {
  Polygon outline;
  SurfaceKind kind;
  Point least;
  Point greatest;
};

Solid solid(Polygon outline, SurfaceKind kind) {
  Point least = outline[0];
  Point greatest = outline[0];
  for (const Point p : outline) {
    least = {std::min(least.x_m, p.x_m), std::min(least.y_m, p.y_m)};
    greatest = {std::max(greatest.x_m, p.x_m), std::max(greatest.y_m, p.y_m)};
  }
  return {std::move(outline), kind, least, greatest};
}

Solid leaf_solid(const Wall& wall, const Opening& opening, const DoorLeaf& leaf) {
  const Point along = unit(wall.to - wall.from);
  if (leaf.open_deg == 0.0) {
    const Point middle = wall.from + opening.at_m * along;
    return solid(rectangle(middle, opening.width_m, kLeafThickness_m, angle_of(along)), SurfaceKind::door);
  }
  const double side = leaf.swings_left ? 1.0 : -1.0;
  const double end = leaf.hinge_at_start ? -1.0 : 1.0;
  const Point hinge = wall.from + (opening.at_m + end * (opening.width_m / 2.0 + 0.005)) * along +
                      (side * (wall.thickness_m / 2.0 + 0.005)) * left_of(along);
  // Closed, the leaf points from the hinge across the opening; it opens towards its side.
  const double closed = angle_of((-end) * along);
  const Point out = direction(closed + side * -end * leaf.open_deg * kDegree_rad);
  // The leaf's thickness lies on the far side of the hinge line, so that the opening keeps its width.
  const Point back = (side * -end) * left_of(out);
  const double length = opening.width_m - 0.01;
  const Point centre = hinge + (length / 2.0) * out + (kLeafThickness_m / 2.0) * back;
  return solid(rectangle(centre, length, kLeafThickness_m, angle_of(out)), SurfaceKind::door);
}

void add_wall(const Wall& wall, std::vector<Solid>& solids) {
  const Point along = unit(wall.to - wall.from);
  const double length = norm(wall.to - wall.from);
  std::vector<Opening> openings = wall.openings;
  std::sort(openings.begin(), openings.end(), [](const Opening& a, const Opening& b) { return a.at_m < b.at_m; });
  const auto add_piece = [&](double from, double to, double thickness, SurfaceKind kind) {
    if (to - from < 1e-6) return;
    const Point centre = wall.from + ((from + to) / 2.0) * along;
    solids.push_back(solid(rectangle(centre, to - from, thickness, angle_of(along)), kind));
  };
  double done = 0.0;
  for (const Opening& opening : openings) {
    const double from = opening.at_m - opening.width_m / 2.0;
    const double to = opening.at_m + opening.width_m / 2.0;
    add_piece(done, std::min(from, length), wall.thickness_m, SurfaceKind::wall);
    if (opening.glass) add_piece(from, to, kPaneThickness_m, SurfaceKind::glass);
    if (opening.leaf) solids.push_back(leaf_solid(wall, opening, *opening.leaf));
    done = std::max(done, to);
  }
  add_piece(done, length, wall.thickness_m, SurfaceKind::wall);
  for (const Mirror& mirror : wall.mirrors) {
    const double aside = (mirror.on_left ? 0.5 : -0.5) * (wall.thickness_m + kMirrorThickness_m);
    const Point centre = wall.from + mirror.at_m * along + aside * left_of(along);
    solids.push_back(solid(rectangle(centre, mirror.width_m, kMirrorThickness_m, angle_of(along)),  //
                           SurfaceKind::mirror));
  }
}

void add_furniture(const Furniture& item, std::vector<Solid>& solids, std::vector<RoundSurface>& round) {
  const double heading = item.heading_deg * kDegree_rad;
  if (item.shape == FurnitureShape::round) {
    round.push_back({item.centre, item.length_m / 2.0, SurfaceKind::furniture, 0});
  } else if (item.shape == FurnitureShape::box) {
    solids.push_back(solid(rectangle(item.centre, item.length_m, item.width_m, heading), SurfaceKind::furniture));
  } else {
    for (const Point corner : rectangle(item.centre, item.length_m - item.leg_m, item.width_m - item.leg_m, heading)) {
      round.push_back({corner, item.leg_m / 2.0, SurfaceKind::furniture, 0});
    }
  }
}

bool inside_any(const std::vector<Solid>& solids, Point p) {
  return std::any_of(solids.begin(), solids.end(), [p](const Solid& s) {
    return p.x_m >= s.least.x_m && p.x_m <= s.greatest.x_m && p.y_m >= s.least.y_m && p.y_m <= s.greatest.y_m &&
           contains(s.outline, p);
  });
}

// Fractions of the edge a -> b at which another outline's edge crosses or touches it.
std::vector<double> break_points(const std::vector<Solid>& solids, Point a, Point b) {
  constexpr double kReach_m = 0.002;
  std::vector<double> fractions = {0.0, 1.0};
  const Point along = b - a;
  const double square = dot(along, along);
  const Point least = {std::min(a.x_m, b.x_m) - kReach_m, std::min(a.y_m, b.y_m) - kReach_m};
  const Point greatest = {std::max(a.x_m, b.x_m) + kReach_m, std::max(a.y_m, b.y_m) + kReach_m};
  for (const Solid& s : solids) {
    if (s.least.x_m > greatest.x_m || s.greatest.x_m < least.x_m) continue;
    if (s.least.y_m > greatest.y_m || s.greatest.y_m < least.y_m) continue;
    for (std::size_t i = 0; i < s.outline.size(); ++i) {
      const Point c = s.outline[i];
      const Point side = s.outline[(i + 1) % s.outline.size()] - c;
      fractions.push_back(dot(c - a, along) / square);  // a corner beside the edge
      const double turn = cross(along, side);
      if (std::abs(turn) < 1e-12) continue;
      fractions.push_back(cross(c - a, side) / turn);
    }
  }
  std::erase_if(fractions, [](double f) { return !(f >= 0.0 && f <= 1.0); });
  std::sort(fractions.begin(), fractions.end());
  return fractions;
}

// Two solids may share a stretch of face; the earlier one keeps it.
bool already_there(const std::vector<Surface>& flat, Point a, Point b) {
  const Point middle = 0.5 * (a + b);
  return std::any_of(flat.begin(), flat.end(), [&](const Surface& s) {
    return distance_m(middle, s.from, s.to) < 1e-6 && dot(unit(s.to - s.from), unit(b - a)) > 0.9999;
  });
}

void add_faces(const std::vector<Solid>& solids, const Solid& s, int& face, std::vector<Surface>& flat) {
  constexpr double kProbe_m = 1e-4;
  for (std::size_t i = 0; i < s.outline.size(); ++i, ++face) {
    // Outlines run counter-clockwise, with the air on their right; faces have it on their left.
    const Point a = s.outline[(i + 1) % s.outline.size()];
    const Point b = s.outline[i];
    const Point probe = kProbe_m * left_of(unit(b - a));
    const std::vector<double> fractions = break_points(solids, a, b);
    double from = -1.0;  // of the piece that is growing; below 0: none
    const auto finish = [&](double to) {
      const Point p = a + from * (b - a);
      const Point q = a + to * (b - a);
      if (norm(q - p) > 1e-4 && !already_there(flat, p, q)) flat.push_back({p, q, s.kind, face});
      from = -1.0;
    };
    for (std::size_t k = 1; k < fractions.size(); ++k) {
      if (fractions[k] - fractions[k - 1] < 1e-9) continue;
      const Point middle = a + ((fractions[k - 1] + fractions[k]) / 2.0) * (b - a);
      const bool air = !inside_any(solids, middle + probe);
      if (air && from < 0.0) from = fractions[k - 1];
      if (!air && from >= 0.0) finish(fractions[k - 1]);
    }
    if (from >= 0.0) finish(1.0);
  }
}

}  // namespace

Surfaces surfaces_of(const Plan& plan) {
  std::vector<Solid> solids;
  Surfaces surfaces;
  for (const Wall& wall : plan.walls) add_wall(wall, solids);
  for (const Furniture& item : plan.furniture) add_furniture(item, solids, surfaces.round);
  for (const Solid& s : solids) add_faces(solids, s, surfaces.faces, surfaces.flat);
  for (RoundSurface& r : surfaces.round) r.face = surfaces.faces++;
  return surfaces;
}

std::vector<Surface> as_segments(const Surfaces& surfaces) {
  constexpr double kSagitta_m = 0.0005;
  std::vector<Surface> segments = surfaces.flat;
  for (const RoundSurface& r : surfaces.round) {
    const double half_step = std::acos(std::max(0.5, 1.0 - kSagitta_m / r.radius_m));
    const int sides = static_cast<int>(std::ceil(kPi / half_step));
    for (int i = 0; i < sides; ++i) {
      // Clockwise, so that the air is on the left.
      const Point from = r.centre + r.radius_m * direction(-2.0 * kPi * i / sides);
      const Point to = r.centre + r.radius_m * direction(-2.0 * kPi * (i + 1) / sides);
      segments.push_back({from, to, r.kind, r.face});
    }
  }
  return segments;
}

double clearance_m(const Surfaces& surfaces, Point point) {
  double least = std::numeric_limits<double>::infinity();
  for (const Surface& s : surfaces.flat) least = std::min(least, distance_m(point, s.from, s.to));
  for (const RoundSurface& r : surfaces.round) least = std::min(least, norm(point - r.centre) - r.radius_m);
  return least;
}

}  // namespace wainscot::simulator
