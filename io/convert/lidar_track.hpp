#pragma once

// How a sampled lidar moved by its own scans: what every other column is held against.

#include <cstddef>
#include <vector>

#include "core/drive.hpp"
#include "graph/motion/lidar_motion.hpp"

namespace wainscot {

struct LidarTrack {
  LidarConstants lidar;
  LidarMotionOptions options;
  TurnScans scans;
  LidarMotion motion;
  double sure = 0.0;        ///< share of the scans that were matched well with the one before, 0..1
  double turned_rad = 0.0;  ///< in all
  double way_m = 0.0;       ///< in all

  /// Whether it moved enough, and was followed well enough, that other columns can be held against it.
  bool tells() const;
};

/// Follows the lidar. `scans`: angles and metres as they were guessed.
LidarTrack track_lidar(const std::vector<Scan>& scans, int threads = 0);

}  // namespace wainscot
