#pragma once

// Where a robot was in a known house on a drive that was recorded whole.
//
// A robot on its way knows only what it has seen so far; of a recording, what came later tells as well. After the drive
// was gone through as it was driven, it is gone through backwards: from each place that was sure then, the robot is
// followed against the time by odometry and walls, through the scans before it was found and through those at which it
// was in doubt, until the map tells no more (the two passes of a fixed-interval smoother: H. E. Rauch, F. Tung, C. T.
// Striebel, AIAA Journal 3(8), 1965; here the better of both is taken, since both rest on the same walls).

#include <functional>
#include <vector>

#include "graph/known/locate.hpp"

namespace wainscot {

/// As locate_drive(), each answer resting on the whole drive. Where the two ways through the drive contradict each
/// other, both places are named and none is sure. Throws `PoorData` where there is no odometry or no usable scan.
std::vector<LocatedScan> locate_whole_drive(const KnownMap& map, const Drive& drive, const LidarModel& lidar,
                                            const LocatorOptions& options = {},
                                            const std::function<void(double)>& progress = {});

}  // namespace wainscot
