#include "graph/place.hpp"

#include <algorithm>
#include <cmath>

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

/// All points of the keyframes around `node`, in its frame, keyframe by keyframe.
std::vector<std::vector<ScanPoint>> gather(const std::vector<Keyframe>& keyframes, const std::vector<Pose2>& poses,
                                           const std::vector<double>& ways_m, std::size_t node, double half_way_m) {
  std::vector<std::vector<ScanPoint>> result;
  const auto first = std::lower_bound(ways_m.begin(), ways_m.end(), ways_m[node] - half_way_m);
  const auto last = std::upper_bound(ways_m.begin(), ways_m.end(), ways_m[node] + half_way_m);
  const Pose2 back = inverse(poses[node]);
  for (auto way = first; way != last; ++way) {
    const auto k = static_cast<std::size_t>(way - ways_m.begin());
    const Pose2 pose = back * poses[k];
    const Eigen::Matrix2d rotation = pose.rotation();
    std::vector<ScanPoint> points;
    for (const ScanPoint& p : keyframes[k].points) points.push_back(moved(p, pose, rotation));
    result.push_back(std::move(points));
  }
  return result;
}

bool has_normal(const ScanPoint& p) { return p.normal_x != 0.0F || p.normal_y != 0.0F; }

std::vector<ScanPoint> thinned(const std::vector<std::vector<ScanPoint>>& scans, std::size_t most) {
  std::vector<ScanPoint> all;
  for (const auto& scan : scans) std::copy_if(scan.begin(), scan.end(), std::back_inserter(all), has_normal);
  const std::size_t stride = std::max<std::size_t>(1, (all.size() + most - 1) / most);
  std::vector<ScanPoint> result;
  for (std::size_t i = 0; i < all.size(); i += stride) result.push_back(all[i]);
  return result;
}

LineMap lines_of(const std::vector<std::vector<ScanPoint>>& scans, const RangeNoise& noise) {
  LineMap lines;
  for (std::size_t k = 0; k < scans.size(); ++k) {
    for (const ScanPoint& p : scans[k]) {
      if (!has_normal(p)) continue;
      lines.add({p.x_m, p.y_m}, {p.normal_x, p.normal_y}, 1.0 / across_variance(p, noise), static_cast<int>(k), 0);
    }
    lines.fit();
  }
  return lines;
}

SeenSpace seen_from(const std::vector<std::vector<ScanPoint>>& scans) {
  SeenSpace seen(Eigen::Vector2d::Zero(), kSeenHalfSizeM);
  for (const auto& scan : scans) {
    for (const ScanPoint& p : scan) {
      const Eigen::Vector2d end(p.x_m, p.y_m);
      const Eigen::Vector2d beam(p.beam_x, p.beam_y);
      seen.add_beam(end - static_cast<double>(p.range_m) * beam, end);
    }
  }
  return seen;
}

std::vector<Eigen::Vector2d> ends(const std::vector<ScanPoint>& points) {
  std::vector<Eigen::Vector2d> result;
  result.reserve(points.size());
  for (const ScanPoint& p : points) result.emplace_back(p.x_m, p.y_m);
  return result;
}

}  // namespace

Place::Place(const std::vector<Keyframe>& keyframes, const std::vector<Pose2>& poses, const std::vector<double>& ways_m,
             std::size_t node, const RangeNoise& noise, const PlaceOptions& options)
    : node_(node), seen_(Eigen::Vector2d::Zero(), SeenSpace::kCellM * 2.0), raster_({}, {}) {
  const auto scans = gather(keyframes, poses, ways_m, node, options.half_way_m);
  points_ = thinned(scans, options.most_points);
  lines_ = lines_of(scans, noise);
  seen_ = seen_from(scans);
  raster_ = LikelihoodRaster(ends(points_), {});
}

}  // namespace wainscot
