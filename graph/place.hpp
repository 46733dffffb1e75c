#pragma once

// A place: what the keyframes around one node have seen, in that node's frame. Several scans together tell more rooms
// apart than one does.

#include <cstddef>
#include <memory>
#include <vector>

#include "graph/keyframes.hpp"
#include "scanmatch/correlative.hpp"
#include "scanmatch/line_map.hpp"
#include "scanmatch/seen_space.hpp"

namespace wainscot {

struct PlaceOptions {
  double half_way_m = 1.5;        ///< keyframes within this way before and after the node belong to its place
  std::size_t most_points = 900;  ///< evenly thinned beyond
};

class Place {
 public:
  /// `ways_m`: way driven until each keyframe.
  Place(const std::vector<Keyframe>& keyframes, const std::vector<Pose2>& poses, const std::vector<double>& ways_m,
        std::size_t node, const RangeNoise& noise, const PlaceOptions& options = {});

  std::size_t node() const { return node_; }
  const std::vector<ScanPoint>& points() const { return points_; }  ///< those with a normal, thinned
  const LineMap& lines() const { return lines_; }
  const SeenSpace& seen() const { return seen_; }
  const LikelihoodRaster& raster() const { return raster_; }

 private:
  std::size_t node_;
  std::vector<ScanPoint> points_;
  LineMap lines_;
  SeenSpace seen_;
  LikelihoodRaster raster_;
};

}  // namespace wainscot
