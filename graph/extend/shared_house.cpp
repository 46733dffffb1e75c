#include "graph/extend/shared_house.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <utility>

#include "graph/known/map_views.hpp"
#include "graph/sentence.hpp"
#include "scanmatch/icp.hpp"
#include "scanmatch/line_map.hpp"

namespace wainscot {
namespace {

std::vector<double> ways_of(const std::vector<MapView>& views) {
  std::vector<double> ways_m{0.0};
  for (std::size_t i = 1; i < views.size(); ++i) {
    ways_m.push_back(ways_m.back() + (views[i].pose.translation() - views[i - 1].pose.translation()).norm());
  }
  return ways_m;
}

/// Views around one place, seen from it.
std::vector<MapView> place_at(const std::vector<MapView>& views, const std::vector<double>& ways_m, std::size_t at,
                              double half_way_m) {
  constexpr std::size_t kMost = 24;  // a robot that turns on the spot sees the same again and again
  const auto first = std::lower_bound(ways_m.begin(), ways_m.end(), ways_m[at] - half_way_m) - ways_m.begin();
  const auto last = std::upper_bound(ways_m.begin(), ways_m.end(), ways_m[at] + half_way_m) - ways_m.begin();
  const auto begin = static_cast<std::size_t>(first);
  const auto end = static_cast<std::size_t>(last);
  const std::size_t stride = (end - begin + kMost - 1) / kMost;
  std::vector<MapView> place;
  for (std::size_t i = begin; i < end; i += stride) {
    place.push_back({between(views[at].pose, views[i].pose), views[i].points});
  }
  return place;
}

std::vector<std::size_t> places_along(const std::vector<double>& ways_m, const SharedHouseOptions& options) {
  const double every_m = std::max(options.place_every_m, ways_m.back() / static_cast<double>(options.most_places));
  std::vector<std::size_t> places;
  double next_m = 0.5 * std::min(every_m, ways_m.back());
  for (std::size_t i = 0; i < ways_m.size(); ++i) {
    if (ways_m[i] < next_m) continue;
    places.push_back(i);
    next_m = ways_m[i] + every_m;
  }
  return places;
}

/// How the second map lies on the first if this place of it is where it was found.
std::vector<Pose2> finds_of(const KnownMap& first, const std::vector<MapView>& place, const Pose2& pose,
                            const RangeNoise& noise, std::size_t most) {
  // Chosen by hand: furniture that moved leaves more than half of a place. Half as much costs time, since wrong ways
  // are refused later; 1 would ask that nothing changed.
  constexpr double kLeastOverlap = 0.5;
  LineMap walls;
  int node = 0;
  for (const MapView& view : place) add_scan(walls, view.points, view.pose, noise, node++);
  std::vector<CorrelativeMatch> peaks = first.places_like(walls);
  if (peaks.size() > most) peaks.resize(most);
  const std::vector<ScanPoint> points = together(place, 400);
  std::vector<Pose2> finds;
  for (const CorrelativeMatch& peak : peaks) {
    const IcpResult match = match_icp(points, first.lines(), noise, peak.pose, Eigen::Matrix3d::Zero());
    if (match.overlap >= kLeastOverlap) finds.push_back(match.pose * inverse(pose));
  }
  return finds;
}

/// Whether both lay `middle` within so much of each other.
bool are_alike(const Pose2& a, const Pose2& b, const Eigen::Vector2d& middle, double within_m) {
  // So that two ways that differ by this differ by as much at 6 m from the middle: a home's rooms.
  constexpr double kRadPerM = 0.17;
  return (a * middle - b * middle).norm() < within_m &&
         std::abs(wrap_angle(a.heading_rad - b.heading_rad)) < kRadPerM * within_m;
}

/// Refined on all that the second map saw, each way once, the most promising first.
std::vector<Pose2> promising(const KnownMap& first, const std::vector<ScanPoint>& points,
                             const std::vector<Pose2>& finds, const RangeNoise& noise, std::size_t most) {
  // About the reach of a match: ways nearer to each other end in one (chosen by hand).
  constexpr double kSameFindM = 0.3;
  constexpr double kSameWayM = 0.6;  // along a bare corridor a way may end a little beside the best
  Eigen::Vector2d middle = Eigen::Vector2d::Zero();
  for (const ScanPoint& p : points) middle += Eigen::Vector2d(p.x_m, p.y_m) / static_cast<double>(points.size());
  struct Way {
    Pose2 pose;
    double score;
  };
  std::vector<Pose2> distinct;
  std::vector<Way> ways;
  for (const Pose2& find : finds) {
    const auto same = [&](const Pose2& other) { return are_alike(find, other, middle, kSameFindM); };
    if (std::any_of(distinct.begin(), distinct.end(), same)) continue;
    distinct.push_back(find);
    const IcpResult match = match_icp(points, first.lines(), noise, find, Eigen::Matrix3d::Zero());
    const MapFit fit = first.fit(points, match.pose);
    ways.push_back({match.pose, fit.on_wall - 2.0 * fit.against});
  }
  std::stable_sort(ways.begin(), ways.end(), [](const Way& a, const Way& b) { return a.score > b.score; });
  std::vector<Pose2> result;
  for (const Way& way : ways) {
    const auto same = [&](const Pose2& other) { return are_alike(way.pose, other, middle, kSameWayM); };
    if (std::any_of(result.begin(), result.end(), same)) continue;
    result.push_back(way.pose);
    if (result.size() == most) break;
  }
  return result;
}

double extent_of(const std::vector<MapView>& views, const std::vector<bool>& counted) {
  double extent_m = 0.0;
  for (std::size_t i = 0; i < views.size(); ++i) {
    for (std::size_t k = 0; k < i && counted[i]; ++k) {
      if (counted[k]) extent_m = std::max(extent_m, (views[i].pose.translation() - views[k].pose.translation()).norm());
    }
  }
  return extent_m;
}

LaidOn laid_on(const KnownMap& first, const std::vector<MapView>& second, const std::vector<double>& ways_m,
               const Pose2& first_second) {
  LaidOn result;
  result.first_second = first_second;
  for (std::size_t i = 0; i < second.size(); ++i) {
    const MapFit fit = first.fit(second[i].points, first_second * second[i].pose);
    const double told = fit.on_wall + fit.against;
    const bool known = fit.on_wall >= 0.6 * fit.all && fit.against <= 0.15 * told;
    const bool strange = told >= 0.4 * fit.all && fit.against > 0.3 * told;
    const double step_m = i == 0 ? 0.0 : ways_m[i] - ways_m[i - 1];
    result.fit += fit;
    result.known.push_back(known);
    if (known) result.known_way_m += step_m;
    if (strange) result.strange_way_m += step_m;
  }
  result.known_extent_m = extent_of(second, result.known);
  return result;
}

bool is_rival(const LaidOn& other, const LaidOn& best, const SharedHouseOptions& options) {
  return other.known_way_m >= options.rival_way * best.known_way_m &&
         other.fit.misfit() <= options.rival_misfit * best.fit.misfit() + options.rival_misfit_more;
}

}  // namespace

std::vector<LaidOn> ways_to_lay_on(const KnownMap& first, const std::vector<MapView>& second, const RangeNoise& noise,
                                   const SharedHouseOptions& options) {
  constexpr std::size_t kRoughly = 2000;  // a limit of time: to choose ways by; those chosen are matched with more
  const std::vector<double> ways_m = ways_of(second);
  std::vector<Pose2> finds;
  for (const std::size_t at : places_along(ways_m, options)) {
    const std::vector<MapView> place = place_at(second, ways_m, at, options.place_half_way_m);
    const std::vector<Pose2> of_place = finds_of(first, place, second[at].pose, noise, options.finds_a_place);
    finds.insert(finds.end(), of_place.begin(), of_place.end());
  }
  std::vector<LaidOn> result;
  const std::vector<ScanPoint> points = together(second, kRoughly);
  for (const Pose2& way : promising(first, points, finds, noise, options.most_compared)) {
    result.push_back(laid_on(first, second, ways_m, way));
  }
  std::stable_sort(result.begin(), result.end(),
                   [](const LaidOn& a, const LaidOn& b) { return a.known_way_m > b.known_way_m; });
  return result;
}

std::optional<std::string> doubt_of(const std::vector<LaidOn>& ways, const SharedHouseOptions& options) {
  constexpr const char* kAdvice =
      "it was driven in another house, or most of what it saw is new or was moved; drive some ten metres through "
      "several rooms that the map has";
  if (ways.empty()) return sentence("no place of it looks like one of the map: %s", kAdvice);
  const LaidOn& best = ways.front();
  if (best.known_way_m < options.least_known_way_m || best.known_extent_m < options.least_known_extent_m ||
      best.strange_way_m > options.most_strange * best.known_way_m) {
    return sentence(
        "where it fits best, the map agrees with %.1f m of its way (%.1f m across; %.0f m, %.1f m across, are needed) "
        "and contradicts %.1f m (at most %.0f %% of the former): %s",
        best.known_way_m, best.known_extent_m, options.least_known_way_m, options.least_known_extent_m,
        best.strange_way_m, 100.0 * options.most_strange, kAdvice);
  }
  for (const LaidOn& rival : ways) {
    if (&rival == &best || !is_rival(rival, best, options)) continue;
    const Pose2 apart = between(best.first_second, rival.first_second);
    return sentence(
        "it fits the map in two ways, %.1f m and %.0f degrees apart (along %.1f m and %.1f m of its way): rooms look "
        "alike; drive through a place that tells them apart",
        apart.translation().norm(), std::abs(wrap_angle(apart.heading_rad)) * 180.0 / std::numbers::pi,
        best.known_way_m, rival.known_way_m);
  }
  return std::nullopt;
}

}  // namespace wainscot
