#include "graph/close/chain.hpp"

namespace wainscot {
namespace {

std::vector<double> ways_of(const TrackedPath& tracked) {
  // Added to the way at a break: longer than any place, so that none reaches across.
  constexpr double kBreakM = 1000.0;
  // Nearly always it is along a wall that an edge is so loose, where nothing falls apart. Chosen on a recorded hall,
  // which 5 cm cuts into places of one scan.
  constexpr double kLooseM = 0.15;
  std::vector<double> ways{0.0};
  for (std::size_t i = 1; i < tracked.poses.size(); ++i) {
    const bool broken = position_sd_m(edge_covariance(tracked.edges[i - 1])) > kLooseM;
    const double way = (tracked.poses[i].translation() - tracked.poses[i - 1].translation()).norm();
    ways.push_back(ways.back() + (broken ? kBreakM : way));
  }
  return ways;
}

}  // namespace

Chain chain_of(const TrackedPath& tracked, const RangeNoise& noise, const std::vector<DrivePart>& parts) {
  std::vector<std::size_t> part_of_node;
  for (const Keyframe& keyframe : tracked.keyframes) part_of_node.push_back(part_of_scan(parts, keyframe.scan));
  return {tracked.keyframes, tracked.poses, ways_of(tracked), ChainDrift(tracked.poses, tracked.edges), noise,
          part_of_node};
}

}  // namespace wainscot
