#pragma once

#include <optional>
#include <vector>

#include "core/drive.hpp"
#include "graph/motion/clock_fit.hpp"
#include "graph/motion/lidar_motion.hpp"

namespace wainscot {

/// Whether the gyro turns the way the lidar's scans say; nullopt: there is none, or it does not tell. `clock`: of the
/// lidar against the gyro's clock, which is the wheels'.
std::optional<bool> gyro_agreement(const std::vector<LidarStride>& strides, const Drive& drive, const ClockFit& clock);

}  // namespace wainscot
