#pragma once

// Where in a known house what a robot has seen around itself may be, to millimetres.

#include <vector>

#include "core/pose2.hpp"
#include "graph/known/known_map.hpp"
#include "scanmatch/icp.hpp"
#include "scanmatch/line_map.hpp"
#include "scanmatch/normals.hpp"

namespace wainscot {

/// Whether two poses are one place: less than 0.2 m and 0.1 rad apart.
bool same_place(const Pose2& a, const Pose2& b);

/// The places that fit, each once, those left out that fit worse by far than the best. `walls` and `views`: in the
/// frame of the robot now, whose pose in the map each result has; `noise`: of the robot's lidar.
std::vector<IcpResult> search_places(const KnownMap& map, const RangeNoise& noise, const LineMap& walls,
                                     const std::vector<MapView>& views);

/// Also places that fit far worse, since the map has only a part of what was seen there: an alcove or a room that was
/// not mapped. Whether the map contradicts what was seen is not asked.
std::vector<IcpResult> search_partly_mapped_places(const KnownMap& map, const RangeNoise& noise, const LineMap& walls,
                                                   const std::vector<MapView>& views);

}  // namespace wainscot
