#include "tests/bench/true_pose.hpp"

#include <algorithm>

namespace wainscot::bench {

Pose2 true_pose(const std::vector<TimedPose>& truth, double time_s) {
  const auto after = std::lower_bound(truth.begin(), truth.end(), time_s,
                                      [](const TimedPose& row, double time) { return row.time_s < time; });
  if (after == truth.begin()) {
    return truth.front().pose;
  }
  if (after == truth.end()) {
    return truth.back().pose;
  }
  const TimedPose& before = *(after - 1);
  Pose2 to = after->pose;
  to.heading_rad = before.pose.heading_rad + wrap_angle(to.heading_rad - before.pose.heading_rad);
  return interpolate(before.pose, to, (time_s - before.time_s) / (after->time_s - before.time_s));
}

}  // namespace wainscot::bench
