#include "graph/markers/line_nodes.hpp"

#include <algorithm>
#include <iterator>
#include <set>
#include <utility>

namespace wainscot {

std::vector<std::string> line_names(const Drive& drive) {
  std::set<std::string> names;
  for (const FollowedStretch& stretch : drive.followed) names.insert(stretch.line);
  return {names.begin(), names.end()};
}

std::vector<StretchNodes> nodes_of_stretches(const Drive& drive, const std::vector<double>& times_s) {
  const std::vector<std::string> names = line_names(drive);
  std::vector<StretchNodes> result;
  for (std::size_t i = 0; i < drive.followed.size(); ++i) {
    const FollowedStretch& row = drive.followed[i];
    const auto name = std::lower_bound(names.begin(), names.end(), row.line);
    StretchNodes stretch{
        i, static_cast<std::size_t>(std::distance(names.begin(), name)), {}, row.sd_m, row.from_s, row.to_s};
    const auto first = std::lower_bound(times_s.begin(), times_s.end(), row.from_s);
    for (auto node = first; node != times_s.end() && *node <= row.to_s; ++node) {
      stretch.nodes.push_back(static_cast<std::size_t>(node - times_s.begin()));
    }
    result.push_back(std::move(stretch));
  }
  return result;
}

std::vector<Eigen::Vector2d> places_of(const StretchNodes& stretch, const std::vector<Pose2>& poses) {
  std::vector<Eigen::Vector2d> places;
  places.reserve(stretch.nodes.size());
  for (const std::size_t node : stretch.nodes) places.push_back(poses[node].translation());
  return places;
}

}  // namespace wainscot
