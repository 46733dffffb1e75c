#pragma once

// The faces of everything solid in the house, as the laser and a tape measure find them.

#include <vector>

#include "apps/simulator/plan.hpp"

namespace wainscot::simulator {

enum class SurfaceKind { wall, furniture, door, glass, mirror };

/// A straight piece of face; the air is on the left of the direction from -> to.
struct Surface {
  Point from;
  Point to;
  SurfaceKind kind = SurfaceKind::wall;
  int face = 0;  ///< pieces of one face of one thing share the number
};

/// An upright cylinder, air all round.
struct RoundSurface {
  Point centre;
  double radius_m = 0.0;
  SurfaceKind kind = SurfaceKind::furniture;
  int face = 0;
};

struct Surfaces {
  std::vector<Surface> flat;
  std::vector<RoundSurface> round;
  int faces = 0;  ///< all face numbers are less
};

/// The faces that border on air: what is hidden inside another solid is cut away. The house as it stands at the start,
/// before anything of it moves.
Surfaces surfaces_of(const Plan& plan);

/// All as straight pieces: cylinders become polygons whose corners lie on them, with a sagitta below 0.5 mm.
std::vector<Surface> as_segments(const Surfaces& surfaces);

/// Distance from a point to the nearest face of a wall, door, pane or piece of furniture, metres. Slow and plain.
double clearance_m(const Surfaces& surfaces, Point point);

}  // namespace wainscot::simulator
