#include "graph/known/place_search.hpp"

#include <algorithm>
#include <cmath>

#include "graph/known/map_views.hpp"

namespace wainscot {

bool same_place(const Pose2& a, const Pose2& b) {
  // Less than a robot's width and 6 degrees: a match from either ends in the same place (chosen by hand).
  constexpr double kApartM = 0.2;
  constexpr double kApartRad = 0.1;
  return (a.translation() - b.translation()).norm() < kApartM &&
         std::abs(wrap_angle(a.heading_rad - b.heading_rad)) < kApartRad;
}

std::vector<IcpResult> search_places(const KnownMap& map, const RangeNoise& noise, const LineMap& walls,
                                     const std::vector<MapView>& views) {
  // Chosen by hand: what moved since the map was made may hide more than half. Half as much costs time, twice as much
  // asks that nothing moved. And a place is worth refining that is worse than the best one by a quarter at most.
  constexpr double kLeastOverlap = 0.4;
  constexpr double kWorse = 0.25;
  IcpOptions icp;
  icp.max_iterations = 8;
  const std::vector<ScanPoint> some = together(views, 100);
  std::vector<IcpResult> rough;
  double best = kLeastOverlap + kWorse;
  for (const CorrelativeMatch& place : map.places_like(walls)) {
    rough.push_back(match_icp(some, map.lines(), noise, place.pose, Eigen::Matrix3d::Zero(), icp));
    best = std::max(best, rough.back().overlap);
  }
  const std::vector<ScanPoint> more = together(views, 400);
  std::vector<IcpResult> result;
  for (const IcpResult& match : rough) {
    const bool again = std::any_of(result.begin(), result.end(),
                                   [&](const IcpResult& other) { return same_place(other.pose, match.pose); });
    if (again || match.overlap < best - kWorse) continue;
    icp.first_gate_m = 0.2;
    icp.max_iterations = 15;
    result.push_back(match_icp(more, map.lines(), noise, match.pose, Eigen::Matrix3d::Zero(), icp));
  }
  return result;
}

}  // namespace wainscot
