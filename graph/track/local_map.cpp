#include "graph/track/local_map.hpp"

#include <algorithm>

#include "scanmatch/icp.hpp"

namespace wainscot {

int LocalMap::oldest_node(double way_m) const {
  const double begin = way_m - way_m_;
  auto oldest = static_cast<std::size_t>(std::lower_bound(ways_m_.begin(), ways_m_.end(), begin) - ways_m_.begin());
  oldest = ways_m_.size() < nodes_ ? 0 : std::min(oldest, ways_m_.size() - nodes_);
  return static_cast<int>(std::max(oldest, fresh_from_));
}

void LocalMap::add(const std::vector<ScanPoint>& points, const Pose2& pose, double way_m) {
  const auto node = static_cast<int>(ways_m_.size());
  ways_m_.push_back(way_m);
  const int oldest = oldest_node(way_m);
  add_scan(lines_, points, pose, noise_, node, oldest);
  // Old lines are passed over, but looking at them costs time: the more, the longer the drive.
  if (lines_.lines().size() > 2 * lines_kept_ + 200) {
    lines_.forget(oldest);
    lines_kept_ = lines_.lines().size();
  }
}

}  // namespace wainscot
