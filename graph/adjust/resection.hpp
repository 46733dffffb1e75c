#pragma once

// The nodes that took no part in the adjustment, each matched against the adjusted walls from where its nearest
// adjusted neighbour along the way puts it.

#include <cstddef>
#include <vector>

#include "core/drive.hpp"
#include "core/odometry.hpp"
#include "core/pose2.hpp"
#include "graph/adjust/joint_adjustment.hpp"
#include "graph/track/keyframes.hpp"

namespace wainscot {

/// All nodes of the graph, as they were before the adjustment.
struct NodesBefore {
  std::vector<Keyframe> keyframes;
  std::vector<Pose2> poses;
  std::vector<std::size_t> adjusted;  ///< indices of those that took part, ascending, the first and the last among them
};

/// `adjusted` with all nodes instead of those that took part.
JointResult with_resected(const Drive& drive, const std::vector<OdometryStep>& steps, NodesBefore nodes,
                          JointResult adjusted, int threads);

}  // namespace wainscot
