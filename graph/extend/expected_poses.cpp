#include "graph/extend/expected_poses.hpp"

#include <algorithm>
#include <cstddef>
#include <iterator>
#include <optional>
#include <string>
#include <utility>

#include "core/errors.hpp"
#include "graph/drive_part.hpp"
#include "graph/extend/shared_house.hpp"
#include "graph/known/map_views.hpp"
#include "graph/sentence.hpp"

namespace wainscot {
namespace {

struct LaidMap {
  KnownMap known;
  Pose2 old_this;  ///< pose of its frame in the old map's
};

/// Poses of the new maps' frames in the old map's. A drive may lie on what another new one has mapped.
std::vector<Pose2> lay_all(const Map& old, std::span<const Drive> old_drives, std::span<const Drive> added,
                           const std::vector<Map>& alone) {
  const Drives known_drives(old_drives);
  std::vector<LaidMap> laid;
  laid.push_back({known_map(old, known_drives, map_views(old, known_drives)), {}});
  std::vector<std::vector<MapView>> views;
  for (std::size_t i = 0; i < added.size(); ++i) views.push_back(map_views(alone[i], added[i]));
  std::vector<std::optional<Pose2>> found(added.size());
  std::vector<std::string> doubts(added.size());
  for (std::size_t on = 0; on < laid.size(); ++on) {
    for (std::size_t i = 0; i < added.size(); ++i) {
      if (found[i]) continue;
      const LidarConstants& lidar = added[i].robot.lidar;
      const std::vector<LaidOn> ways = ways_to_lay_on(laid[on].known, views[i], range_noise(lidar));
      const std::optional<std::string> doubt = doubt_of(ways);
      if (on == 0 && doubt) doubts[i] = *doubt;
      if (doubt) continue;
      found[i] = laid[on].old_this * ways.front().first_second;
      if (added.size() > 1) laid.push_back({known_map(alone[i], added[i], views[i]), *found[i]});
    }
  }
  std::vector<Pose2> poses;
  for (std::size_t i = 0; i < added.size(); ++i) {
    if (!found[i]) throw PoorData(sentence("%s does not join the map: %s", added[i].name.c_str(), doubts[i].c_str()));
    poses.push_back(*found[i]);
  }
  return poses;
}

/// On the way between the scans of a map.
Pose2 pose_at(const std::vector<TrajectoryRow>& rows, double time_s) {
  const auto after = std::lower_bound(rows.begin(), rows.end(), time_s,
                                      [](const TrajectoryRow& row, double t) { return row.time_s < t; });
  if (after == rows.begin()) return rows.front().pose;
  if (after == rows.end()) return rows.back().pose;
  const TrajectoryRow& before = *std::prev(after);
  const double span_s = after->time_s - before.time_s;
  return interpolate(before.pose, after->pose, span_s > 0.0 ? (time_s - before.time_s) / span_s : 0.0);
}

}  // namespace

std::vector<Pose2> expected_poses(const JoinedDrives& joined, const Map& old, std::span<const Drive> drives,
                                  const std::vector<Map>& alone) {
  const std::size_t old_drives = drives.size() - alone.size();
  const std::vector<Pose2> laid = lay_all(old, drives.first(old_drives), drives.subspan(old_drives), alone);
  std::vector<std::vector<Pose2>> of_node(old_drives);  // by drive and scan
  for (const Node& node : old.graph.nodes) of_node[static_cast<std::size_t>(node.drive) - 1].push_back(node.pose);
  std::vector<Pose2> poses;
  for (std::size_t scan = 0; scan < joined.own_scan.size(); ++scan) {
    const std::size_t part = part_of_scan(joined.parts, scan);
    if (part < old_drives) {
      poses.push_back(of_node[part].at(joined.own_scan[scan]));
      continue;
    }
    const double time_s = joined.drive.scans[scan].time_s - joined.parts[part].shift_s;
    poses.push_back(laid[part - old_drives] * pose_at(alone[part - old_drives].trajectory, time_s));
  }
  return poses;
}

}  // namespace wainscot
