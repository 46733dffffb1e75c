#include "graph/check/scan_witness.hpp"

#include <algorithm>
#include <cmath>

#include "scanmatch/normals.hpp"

namespace wainscot {
namespace {

constexpr double kLeastOverlap = 0.6;  // of a sure match, as in graph/motion/lidar_motion
constexpr double kThereM = 0.06;       // what a slip must come to, as in graph/check/motion_events
constexpr double kThereRad = 0.08;

}  // namespace

std::vector<ScanPoint> ScanWitness::points(std::size_t scan) const {
  const Tangent2 velocity = motion_.velocities.empty() ? Tangent2(Tangent2::Zero()) : motion_.velocities[scan];
  std::vector<ScanPoint> result = unswept(scans_.scans[scan], scans_.turns, sweep_s_, velocity);
  estimate_normals(result, range_noise(lidar_), kNormalsOfSingleScans);
  return result;
}

bool ScanWitness::bears_out(std::size_t from, std::size_t to, const Pose2& claimed, const Pose2& seen) const {
  // Of the returns: a metre along a corridor that is seen for 7 m each way leaves 1 in 14 without a partner.
  constexpr double kAsWell = 0.1;
  constexpr double kNear = 0.25;  // of the way from the claim to what was seen
  const std::vector<ScanPoint> first = points(from);
  const std::vector<ScanPoint> last = points(to);
  const Pose2 expected = inverse(mounting_) * claimed * mounting_;
  const LidarStride there = match_points(first, last, lidar_, expected, kLeastOverlap);
  // Nearer to the claim than to what the lidar saw: wheels are a few per cent off, and a slip at least so far.
  const Pose2 off = between(expected, there.motion);
  const Pose2 apart = between(expected, seen);
  if (off.translation().norm() > std::max(kThereM, kNear * apart.translation().norm())) return false;
  if (std::abs(off.heading_rad) > std::max(kThereRad, kNear * std::abs(apart.heading_rad))) return false;
  if (there.overlap < kLeastOverlap) return false;
  return there.overlap >= match_points(first, last, lidar_, seen, kLeastOverlap).overlap - kAsWell;
}

bool ScanWitness::confirms(std::size_t from, std::size_t to, const Pose2& seen) const {
  const LidarStride back = match_points(points(to), points(from), lidar_, inverse(seen), kLeastOverlap);
  const Pose2 off = seen * back.motion;
  return back.sure && off.translation().norm() < kThereM && std::abs(off.heading_rad) < kThereRad;
}

}  // namespace wainscot
