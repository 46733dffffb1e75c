#include "graph/markers/node_sightings.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <set>

#include <Eigen/Dense>

namespace wainscot {
namespace {

std::size_t nearest_node(const std::vector<double>& times_s, double time_s) {
  const auto after = std::lower_bound(times_s.begin(), times_s.end(), time_s);
  if (after == times_s.begin()) return 0;
  const auto i = static_cast<std::size_t>(after - times_s.begin());
  if (after == times_s.end()) return i - 1;
  return time_s - times_s[i - 1] < times_s[i] - time_s ? i - 1 : i;
}

}  // namespace

std::vector<std::string> marker_names(const Drive& drive) {
  std::set<std::string> names;
  for (const MarkerSighting& sighting : drive.markers) names.insert(sighting.marker);
  return {names.begin(), names.end()};
}

Pose2 robot_from_node(const OdometryPath& path, const std::vector<double>& times_s, const std::vector<Pose2>& poses,
                      std::size_t node, double time_s) {
  constexpr double kMostBend = 0.1;  // m or rad: beyond it the robot was lifted or slid, and odometry's word is kept
  const Pose2 here = path.pose_at(times_s[node]);
  const Pose2 driven = between(here, path.pose_at(time_s));
  const bool later = time_s >= times_s[node];
  if (later ? node + 1 >= times_s.size() : node == 0) return driven;
  const std::size_t other = later ? node + 1 : node - 1;
  if (times_s[other] == times_s[node]) return driven;
  const Tangent2 bend = log(between(between(here, path.pose_at(times_s[other])), between(poses[node], poses[other])));
  if (bend.norm() > kMostBend) return driven;
  return driven * exp((time_s - times_s[node]) / (times_s[other] - times_s[node]) * bend);
}

void carry_again(const Drive& drive, const OdometryPath& path, const std::vector<double>& times_s,
                 const std::vector<Pose2>& poses, NodeSighting& sighting) {
  const MarkerSighting& seen = drive.markers[sighting.sighting];
  sighting.robot = robot_from_node(path, times_s, poses, sighting.node, seen.time_s);
  sighting.at_m = sighting.robot * Eigen::Vector2d(seen.x_m, seen.y_m);
  if (seen.heading_rad) sighting.heading_rad = wrap_angle(sighting.robot.heading_rad + *seen.heading_rad);
}

std::vector<NodeSighting> sightings_at_nodes(const Drive& drive, const std::vector<OdometryStep>& steps,
                                             const std::vector<double>& times_s, const std::vector<Pose2>& poses,
                                             const SightingNoise& noise) {
  const std::vector<std::string> names = marker_names(drive);
  const OdometryPath path(steps, {});
  std::vector<NodeSighting> result;
  for (std::size_t i = 0; i < drive.markers.size(); ++i) {
    const MarkerSighting& seen = drive.markers[i];
    if (seen.time_s < path.begin_s() || seen.time_s > path.end_s()) continue;
    NodeSighting sighting;
    sighting.sighting = i;
    sighting.time_s = seen.time_s;
    sighting.node = nearest_node(times_s, seen.time_s);
    const double from_s = std::min(seen.time_s, times_s[sighting.node]);
    const double to_s = std::max(seen.time_s, times_s[sighting.node]);
    const Eigen::Matrix3d gap = stretch_covariance(steps, odometry_noise(drive.robot), from_s, to_s);
    if (std::sqrt(std::max(gap(0, 0), gap(1, 1))) > noise.most_gap_m) continue;
    const auto name = std::lower_bound(names.begin(), names.end(), seen.marker);
    sighting.marker = static_cast<std::size_t>(std::distance(names.begin(), name));
    sighting.sd_m = noise.sd_m + noise.sd_per_m * std::hypot(seen.x_m, seen.y_m);
    sighting.sd_rad = noise.sd_rad;
    carry_again(drive, path, times_s, poses, sighting);
    result.push_back(sighting);
  }
  return result;
}

}  // namespace wainscot
