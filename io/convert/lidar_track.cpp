#include "io/convert/lidar_track.hpp"

#include <cmath>

namespace wainscot {

bool LidarTrack::tells() const {
  constexpr double kFewestSure = 0.5;
  constexpr double kLeastTurnRad = 1.5;  // a quarter of a turn, as a corner has
  return sure >= kFewestSure && turned_rad >= kLeastTurnRad;
}

LidarTrack track_lidar(const std::vector<Scan>& scans, int threads) {
  constexpr double kAnyRangeM = 60.0;
  constexpr std::size_t kFewestScans = 8;
  LidarTrack track;
  track.lidar.min_range_m = 0.1;
  track.lidar.max_range_m = kAnyRangeM;
  track.scans = turn_scans(scans, track.lidar);
  if (track.scans.scans.size() < kFewestScans || track.scans.turn_s <= 0.0) return track;
  track.options.sweep_s = track.scans.stated_s;
  track.options.threads = threads;
  track.motion = follow_lidar(track.scans, track.lidar, track.options);
  std::size_t sure = 0;
  for (const LidarStride& step : track.motion.steps) {
    if (!step.sure) continue;
    ++sure;
    track.turned_rad += std::abs(step.motion.heading_rad);
    track.way_m += step.motion.translation().norm();
  }
  track.sure = static_cast<double>(sure) / static_cast<double>(scans.size());
  return track;
}

}  // namespace wainscot
