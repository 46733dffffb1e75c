#pragma once

// The floor of a random home, cut by straight lines into convex rooms on both sides of a hall.

#include <vector>

#include "apps/simulator/geometry.hpp"
#include "apps/simulator/random.hpp"

namespace wainscot::simulator {

/// A straight line of wall that may have several rooms on each side.
struct WallLine {
  Point from;
  Point to;
  double thickness_m;
};

/// A convex part of the footprint; `lines[i]` is the line that the edge from corner i to i + 1 lies on.
struct FloorPart {
  Polygon outline;
  std::vector<int> lines;
  bool hall = false;
};

struct FloorDivision {
  std::vector<WallLine> lines;  ///< those around the whole footprint first, all of one thickness
  std::vector<FloorPart> parts;
};

/// A random division of a footprint of `area_m2` (60 .. 200), some L-shaped, its lower left corner at the origin.
FloorDivision divided_floor(double area_m2, Random& random);

/// A stretch of one line with the same neighbours all along; -1: the garden.
struct Stretch {
  double from_m;  ///< along the line, from its beginning
  double to_m;
  int left;  ///< room on the left of the line's direction
  int right;
};

/// The stretches of a line that border on a room, in its direction. `line`: its place in `FloorDivision::lines`.
std::vector<Stretch> stretches_of(const FloorDivision& floor, int line);

}  // namespace wainscot::simulator
