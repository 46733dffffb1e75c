#pragma once

// What the stages of build_map passed on to one another, for whoever explains a map. References to values that live
// during the call of MapperOptions::observe only.

#include <cstddef>
#include <vector>

#include "graph/adjust/joint_adjustment.hpp"
#include "graph/adjust/scan_poses.hpp"
#include "graph/close/loop_closure.hpp"
#include "graph/map.hpp"
#include "graph/track/keyframes.hpp"

namespace wainscot {

struct MapStages {
  const std::vector<std::size_t>& scans;  ///< those that were used
  const TrackedPath& tracked;
  const ClosedGraph& closed;
  const JointResult& adjusted;
  const std::vector<ScanPose>& placed;
  const BeamsOfScan& beams_of;
  const Map& map;
};

}  // namespace wainscot
