#pragma once

// A place: what the keyframes around one node have seen, in that node's frame. Several scans together tell more rooms
// apart than one does.

#include <cstddef>
#include <vector>

#include "graph/close/signature.hpp"
#include "graph/track/keyframes.hpp"
#include "scanmatch/correlative.hpp"
#include "scanmatch/line_map.hpp"
#include "scanmatch/normals.hpp"
#include "scanmatch/seen_space.hpp"

namespace wainscot {

/// A path and what was seen along it, node by node. Refers to its vectors, which must outlive it; they are as long as
/// one another.
struct SeenPath {
  const std::vector<Keyframe>& keyframes;
  const std::vector<Pose2>& poses;    ///< of the keyframes
  const std::vector<double>& ways_m;  ///< way driven until each keyframe
  RangeNoise noise;
};

struct PlaceOptions {
  double half_way_m = 1.5;           ///< keyframes within this way before and after the node belong to its place,
  std::size_t least_neighbours = 1;  ///< and so many on each side where scans are sparse,
  double sparse_way_m = 4.0;         ///< but none further than this; both up to twice for scans that show half a circle
  std::size_t most_points = 900;     ///< evenly thinned beyond
};

class Place {
 public:
  /// A jump of the path's way by more than `sparse_way_m` parts what lies before from what lies behind.
  Place(const SeenPath& path, std::size_t node, const PlaceOptions& options = {});

  std::size_t node() const { return node_; }
  const std::vector<ScanPoint>& points() const { return points_; }  ///< those with a normal, thinned
  const LineMap& lines() const { return lines_; }
  const SeenSpace& seen() const { return seen_; }
  /// Made anew at each call, since most places need neither and a raster is large. `widest_window_m`: half of the
  /// widest window that will be searched in it.
  Signature signature() const;
  LikelihoodRaster raster(double widest_window_m) const;

 private:
  std::size_t node_;
  std::vector<ScanPoint> points_;
  LineMap lines_;
  SeenSpace seen_;
};

/// The signature alone, cheaper than the place. Parameters as there.
Signature place_signature(const SeenPath& path, std::size_t node, const PlaceOptions& options = {});

}  // namespace wainscot
