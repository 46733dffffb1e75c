#include "core/pose_pairs.hpp"

#include <cstddef>

namespace wainscot {
namespace {

Pose2 truth_between(const TimedPose& before, const TimedPose& after, double time_s) {
  const double gap_s = after.time_s - before.time_s;
  if (gap_s <= 0.0) {
    return before.pose;
  }
  Pose2 unwrapped = after.pose;
  unwrapped.heading_rad = before.pose.heading_rad + wrap_angle(after.pose.heading_rad - before.pose.heading_rad);
  return interpolate(before.pose, unwrapped, (time_s - before.time_s) / gap_s);
}

}  // namespace

std::vector<PosePair> paired_by_time(std::span<const TimedPose> estimate, std::span<const TimedPose> truth) {
  std::vector<PosePair> pairs;
  if (truth.empty()) {
    return pairs;
  }
  pairs.reserve(estimate.size());
  std::size_t next = 0;  // the first row of the truth that is not before the estimate's row
  for (const TimedPose& row : estimate) {
    while (next < truth.size() && truth[next].time_s < row.time_s) {
      ++next;
    }
    if (next == truth.size()) {
      break;
    }
    if (truth[next].time_s == row.time_s) {
      pairs.push_back({row.time_s, row.pose, truth[next].pose});
    } else if (next > 0) {
      pairs.push_back({row.time_s, row.pose, truth_between(truth[next - 1], truth[next], row.time_s)});
    }
  }
  return pairs;
}

}  // namespace wainscot
