#include "graph/close/place.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <numbers>
#include <utility>

#include "scanmatch/icp.hpp"

namespace wainscot {
namespace {

constexpr double kSeenHalfSizeM = 9.0;  // how far around a node another place is compared

/// The point as seen from the place's node.
ScanPoint moved(const ScanPoint& p, const Pose2& pose, const Eigen::Matrix2d& rotation) {
  const Eigen::Vector2d place = pose * Eigen::Vector2d(p.x_m, p.y_m);
  const Eigen::Vector2d beam = rotation * Eigen::Vector2d(p.beam_x, p.beam_y);
  const Eigen::Vector2d normal = rotation * Eigen::Vector2d(p.normal_x, p.normal_y);
  ScanPoint result = p;
  result.x_m = static_cast<float>(place.x());
  result.y_m = static_cast<float>(place.y());
  result.beam_x = static_cast<float>(beam.x());
  result.beam_y = static_cast<float>(beam.y());
  result.normal_x = static_cast<float>(normal.x());
  result.normal_y = static_cast<float>(normal.y());
  return result;
}

/// How much of the circle around the robot a scan shows, 0..1: sectors with a return.
double seen_share(const std::vector<ScanPoint>& points) {
  constexpr std::size_t kSectors = 36;  // of 10 degrees: wider than the gaps between the beams of a scan of 90
  std::array<bool, kSectors> seen{};
  for (const ScanPoint& p : points) {
    const double turn = std::atan2(p.beam_y, p.beam_x) / (2.0 * std::numbers::pi) + 0.5;
    seen[std::min(static_cast<std::size_t>(turn * kSectors), kSectors - 1)] = true;
  }
  return static_cast<double>(std::count(seen.begin(), seen.end(), true)) / kSectors;
}

/// Keyframes [first, last) that belong to the node's place. Where a scan shows half of the circle, twice the way is
/// taken: what lies beside and behind was seen before, or will be, and the robot may come back facing it.
std::pair<std::size_t, std::size_t> neighbours(const SeenPath& path, std::size_t node, const PlaceOptions& options) {
  const std::vector<double>& ways_m = path.ways_m;
  const double longer = 1.0 / std::clamp(seen_share(path.keyframes[node].points), 0.5, 1.0);
  const auto belongs = [&](std::size_t k) {
    const double way = std::abs(ways_m[k] - ways_m[node]);
    const std::size_t steps = k > node ? k - node : node - k;
    return way <= longer * options.half_way_m ||
           (steps <= options.least_neighbours && way <= longer * options.sparse_way_m);
  };
  std::size_t first = node;
  std::size_t last = node + 1;
  while (first > 0 && belongs(first - 1)) --first;
  while (last < ways_m.size() && belongs(last)) ++last;
  return {first, last};
}

/// All points of the keyframes around `node`, in its frame, keyframe by keyframe.
std::vector<std::vector<ScanPoint>> gather(const SeenPath& path, std::size_t node, const PlaceOptions& options) {
  std::vector<std::vector<ScanPoint>> result;
  const auto [first, last] = neighbours(path, node, options);
  const Pose2 back = inverse(path.poses[node]);
  for (std::size_t k = first; k < last; ++k) {
    const Pose2 pose = back * path.poses[k];
    const Eigen::Matrix2d rotation = pose.rotation();
    std::vector<ScanPoint> points;
    for (const ScanPoint& p : path.keyframes[k].points) points.push_back(moved(p, pose, rotation));
    result.push_back(std::move(points));
  }
  return result;
}

std::vector<ScanPoint> thinned(const std::vector<std::vector<ScanPoint>>& scans, std::size_t most) {
  std::vector<ScanPoint> all;
  for (const auto& scan : scans)
    std::copy_if(scan.begin(), scan.end(), std::back_inserter(all), [](const ScanPoint& p) { return p.has_normal(); });
  const std::size_t stride = std::max<std::size_t>(1, (all.size() + most - 1) / most);
  std::vector<ScanPoint> result;
  for (std::size_t i = 0; i < all.size(); i += stride) result.push_back(all[i]);
  return result;
}

LineMap lines_of(const std::vector<std::vector<ScanPoint>>& scans, const RangeNoise& noise) {
  LineMap lines;
  for (std::size_t k = 0; k < scans.size(); ++k) {
    add_scan(lines, scans[k], {}, noise, static_cast<int>(k));
  }
  return lines;
}

SeenSpace seen_from(const std::vector<std::vector<ScanPoint>>& scans) {
  constexpr std::size_t kEnoughBeams = 2000;  // ten scans at 2 degrees: each cell of a room is crossed often
  std::size_t all = 0;
  for (const auto& scan : scans) all += scan.size();
  const std::size_t stride = std::max<std::size_t>(1, all / kEnoughBeams);
  SeenSpace seen(Eigen::Vector2d::Zero(), kSeenHalfSizeM);
  std::size_t next = 0;
  for (const auto& scan : scans) {
    for (; next < scan.size(); next += stride) {
      const ScanPoint& p = scan[next];
      const Eigen::Vector2d end(p.x_m, p.y_m);
      const Eigen::Vector2d beam(p.beam_x, p.beam_y);
      seen.add_beam(end - static_cast<double>(p.range_m) * beam, end);
    }
    next -= scan.size();
  }
  return seen;
}

std::vector<Eigen::Vector2d> ends(const std::vector<ScanPoint>& points) {
  std::vector<Eigen::Vector2d> result;
  result.reserve(points.size());
  for (const ScanPoint& p : points) result.emplace_back(p.x_m, p.y_m);
  return result;
}

Signature signature_of(const LineMap& lines) {
  // Work grows with the square, 90 make 4,005 pairs. A limit of time: twice as many tell a little more.
  constexpr std::size_t kMost = 90;
  std::vector<WallElement> elements;
  for (const Line& line : lines.lines()) {
    if (line.returns < 3) continue;
    const Eigen::Vector2d tangent(line.normal.y(), -line.normal.x());
    elements.push_back({line.anchor + 0.5 * (line.first_along_m + line.last_along_m) * tangent, line.fitted_normal});
  }
  const std::size_t stride = std::max<std::size_t>(1, (elements.size() + kMost - 1) / kMost);
  std::vector<WallElement> some;
  for (std::size_t i = 0; i < elements.size(); i += stride) some.push_back(elements[i]);
  return Signature(some);
}

}  // namespace

Place::Place(const SeenPath& path, std::size_t node, const PlaceOptions& options)
    : node_(node), seen_(Eigen::Vector2d::Zero(), SeenSpace::kCellM * 2.0) {
  const auto scans = gather(path, node, options);
  points_ = thinned(scans, options.most_points);
  lines_ = lines_of(scans, path.noise);
  seen_ = seen_from(scans);
}

Signature Place::signature() const { return signature_of(lines_); }

LikelihoodRaster Place::raster(double widest_window_m) const {
  CorrelativeOptions options;
  options.widest_window_m = widest_window_m;
  return {ends(points_), options};
}

Signature place_signature(const SeenPath& path, std::size_t node, const PlaceOptions& options) {
  return signature_of(lines_of(gather(path, node, options), path.noise));
}

}  // namespace wainscot
