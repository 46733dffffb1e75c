#pragma once

// When the lidar's motor turns, and which of its revolutions are logged.

#include <cstdint>
#include <vector>

#include "apps/simulator/motion.hpp"
#include "apps/simulator/plan.hpp"
#include "apps/simulator/true_lidar.hpp"

namespace wainscot::simulator {

struct LidarRevolution {
  double start_s;
  double turn_s;
  double late_s;  ///< its stamp's delay and jitter
  bool lost;
};

/// The whole revolutions of a drive, one after the other; of a lidar that logs a scan now and then only those that are
/// logged.
std::vector<LidarRevolution> lidar_revolutions(const Plan& plan, const TrueLidar& lidar, const Motion& motion,
                                               std::uint64_t seed);

}  // namespace wainscot::simulator
