#pragma once

#include <vector>

#include "apps/simulator/geometry.hpp"
#include "core/drive.hpp"

namespace wainscot::bench {

/// The true pose at a time, between the rows of the truth; the nearest row's outside.
Pose2 true_pose(const std::vector<TimedPose>& truth, double time_s);

inline simulator::Point point_of(const Eigen::Vector2d& p) { return {p.x(), p.y()}; }

}  // namespace wainscot::bench
