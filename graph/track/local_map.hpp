#pragma once

// The walls that the last few metres of the drive have shown.

#include <cstddef>
#include <vector>

#include "core/pose2.hpp"
#include "scanmatch/line_map.hpp"
#include "scanmatch/motion_correction.hpp"
#include "scanmatch/normals.hpp"

namespace wainscot {

class LocalMap {
 public:
  /// Holds the walls seen within `way_m` of driving, and those of the last `nodes` however far apart they were taken.
  LocalMap(double way_m, std::size_t nodes, const RangeNoise& noise) : way_m_(way_m), nodes_(nodes), noise_(noise) {}

  /// The first node whose walls count for a scan that is taken after `way_m` of driving.
  int oldest_node(double way_m) const;

  /// The next node's scan, taken at `pose` after `way_m` of driving.
  void add(const std::vector<ScanPoint>& points, const Pose2& pose, double way_m);

  /// From the next node on: what was seen before it counts no more.
  void begin_anew() { fresh_from_ = ways_m_.size(); }

  const LineMap& lines() const { return lines_; }
  const RangeNoise& noise() const { return noise_; }

 private:
  double way_m_;
  std::size_t nodes_;
  RangeNoise noise_;
  LineMap lines_;
  std::size_t lines_kept_ = 0;  ///< when old ones were last removed
  std::vector<double> ways_m_;  ///< of the nodes
  std::size_t fresh_from_ = 0;
};

}  // namespace wainscot
