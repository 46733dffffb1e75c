#pragma once

// Where a straight ray first meets a face. Faces are sorted into square buckets that a ray walks through in order
// (J. Amanatides, A. Woo, "A fast voxel traversal algorithm for ray tracing", Eurographics 1987).

#include <cstddef>
#include <cstdint>
#include <limits>
#include <vector>

#include "apps/simulator/surfaces.hpp"

namespace wainscot::simulator {

struct Hit {
  double range_m = std::numeric_limits<double>::infinity();  ///< infinity: nothing within reach
  int face = -1;
  SurfaceKind kind = SurfaceKind::wall;
  double incidence_rad = 0.0;  ///< between the ray and the face's normal, 0 .. pi/2
  Point side;                  ///< unit vector along a flat face; not set for round ones
};

class RayCaster {
 public:
  explicit RayCaster(const Surfaces& surfaces);

  /// First face along `along` (a unit vector) within `reach_m`. With `through_glass` panes are not there.
  Hit cast(Point from, Point along, double reach_m, bool through_glass) const;

 private:
  struct Bucket {
    std::uint32_t first = 0;
    std::uint32_t count = 0;
  };
  /// What the ray has met so far.
  struct Nearest {
    double range_m;
    std::int64_t primitive = -1;
  };
  void sort_into_buckets();
  std::size_t bucket_at(int column, int row) const {
    return static_cast<std::size_t>(row) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(column);
  }
  void try_primitive(std::uint32_t index, Point from, Point along, bool through_glass, Nearest& nearest) const;
  Hit hit(const Nearest& nearest, Point from, Point along) const;

  std::vector<Surface> flat_;
  std::vector<RoundSurface> round_;
  Point corner_;  ///< lower left, of bucket 0
  int columns_ = 0;
  int rows_ = 0;
  std::vector<Bucket> buckets_;
  std::vector<std::uint32_t> primitives_;  ///< flat ones first, then round ones
};

/// Range at which a ray meets a cylinder from outside; infinity where it misses or starts inside.
double range_to_round(Point from, Point along, Point centre, double radius_m);

}  // namespace wainscot::simulator
