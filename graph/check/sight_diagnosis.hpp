#pragma once

// What the lidar could see, and whether it was turned too fast for it.

#include <cstddef>

#include "core/robot.hpp"
#include "graph/check/diagnosis.hpp"
#include "graph/motion/lidar_motion.hpp"

namespace wainscot {

/// The least share of the scans that hold returns, and of those that fit the one before, for anything to be told by.
inline constexpr double kMostHold = 0.7;

/// Whether three scans in ten hold too few returns, or fit the one before badly; `logged`: how many the log has.
bool sees_too_little(std::size_t logged, const TurnScans& scans, const LidarMotion& motion);

/// `logged`: how many scans the log has; `way_between_m`: from each to the next, as way_between_scans_m; `sweep_s`:
/// time of a turn, negative where fired in the opposite order.
Diagnosis sight_diagnosis(std::size_t logged, double way_between_m, const TurnScans& scans, const LidarMotion& motion,
                          double sweep_s, const Robot& robot);

}  // namespace wainscot
