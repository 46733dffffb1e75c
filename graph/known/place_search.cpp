#include "graph/known/place_search.hpp"

#include <algorithm>
#include <cmath>

#include "graph/known/map_views.hpp"

namespace wainscot {

bool same_place(const Pose2& a, const Pose2& b) {
  constexpr double kApartM = 0.2;    // a search finds a place to 0.1 m: two finds of one place are twice that apart
  constexpr double kApartRad = 0.1;  // chosen: 0.2 m at a wall 2 m away
  return (a.translation() - b.translation()).norm() < kApartM &&
         std::abs(wrap_angle(a.heading_rad - b.heading_rad)) < kApartRad;
}

std::vector<IcpResult> search_places(const KnownMap& map, const RangeNoise& noise, const LineMap& walls,
                                     const std::vector<MapView>& views) {
  // Chosen: what is let through here is weighed again by every view; what is left out is not seen before the next
  // search.
  constexpr double kLeastOverlap = 0.4;  // less than LocatorOptions::least_explained, since some furniture moves
  constexpr double kWorse = 0.25;        // about LocatorOptions::keep_margin
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

std::vector<IcpResult> search_partly_mapped_places(const KnownMap& map, const RangeNoise& noise, const LineMap& walls,
                                                   const std::vector<MapView>& views) {
  constexpr std::size_t kPoints = 200;  // chosen: half of what the best places have, where a quarter lies on walls
  IcpOptions icp;
  icp.max_iterations = 15;
  icp.first_gate_m = 0.2;
  const std::vector<ScanPoint> some = together(views, kPoints);
  std::vector<IcpResult> result;
  for (const CorrelativeMatch& place : map.places_partly_like(walls)) {
    const IcpResult match = match_icp(some, map.lines(), noise, place.pose, Eigen::Matrix3d::Zero(), icp);
    const bool again = std::any_of(result.begin(), result.end(),
                                   [&](const IcpResult& other) { return same_place(other.pose, match.pose); });
    if (!again) result.push_back(match);
  }
  return result;
}

}  // namespace wainscot
