#pragma once

// How the lidar moved in a few stretches of a drive, by its scans alone: enough for the robot's constants to show, at a
// small part of the cost of following it all the way (graph/motion/lidar_motion).

#include <cstddef>
#include <vector>

#include "core/drive.hpp"
#include "graph/motion/lidar_motion.hpp"

namespace wainscot {

struct SampleOptions {
  std::size_t most_scans = 1200;  ///< in all stretches together
  std::size_t most_beams = 4000;  ///< of a scan; of more every second or third ... is taken
  int corrections = 2;            ///< as LidarMotionOptions
  int threads = 0;                ///< 0: as many as the machine has; the result does not depend on it
};

/// In the order of time; `LidarStride::from` and `to` count within a stretch.
struct SampledStrides {
  std::vector<LidarStride> steps;    ///< from scan to scan
  std::vector<LidarStride> strides;  ///< further apart, as long_strides() gives them
};

/// Stretches of 32 scans: one half of them where the drive's own record turns most, the others where it goes furthest.
/// Empty where no stretch has enough returns.
SampledStrides sampled_strides(const Drive& drive, const SampleOptions& options);

}  // namespace wainscot
