#pragma once

// What the lidar could see, and whether it was turned too fast for it.

#include <cstddef>

#include "core/robot.hpp"
#include "graph/check/diagnosis.hpp"
#include "graph/motion/lidar_motion.hpp"

namespace wainscot {

/// Whether three scans in ten hold too few returns, or fit the one before badly; `logged`: how many the log has.
bool sees_too_little(std::size_t logged, const TurnScans& scans, const LidarMotion& motion);

/// `logged`: how many scans the log has; `sweep_s`: time of a turn, negative where fired in the opposite order.
Diagnosis sight_diagnosis(std::size_t logged, const TurnScans& scans, const LidarMotion& motion, double sweep_s,
                          const Robot& robot);

}  // namespace wainscot
