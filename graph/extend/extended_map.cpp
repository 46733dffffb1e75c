#include "graph/extend/extended_map.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <utility>

#include "core/errors.hpp"
#include "core/odometry.hpp"
#include "graph/extend/expected_poses.hpp"
#include "graph/extend/joined_drives.hpp"
#include "graph/extend/same_robot.hpp"
#include "graph/mapping/old_cells.hpp"
#include "graph/sentence.hpp"

namespace wainscot {
namespace {

constexpr double kAloneShare = 0.4;  // of the whole job: the new drives by themselves

/// The new drives each by itself: what was peculiar to its day shows, and whether it gives a map at all.
std::vector<Map> maps_of(std::span<const Drive> drives, const MapperOptions& options) {
  std::vector<Map> maps;
  for (std::size_t i = 0; i < drives.size(); ++i) {
    MapperOptions alone = options;
    alone.progress = [&options, i, count = drives.size()](const std::string& /*stage*/, double fraction) {
      const double done = (static_cast<double>(i) + fraction) / static_cast<double>(count);
      if (options.progress) options.progress("mapping the new drives alone", kAloneShare * done);
    };
    try {
      maps.push_back(build_map(drives[i], alone));
    } catch (const PoorData& poor) {
      throw PoorData(drives[i].name + ": " + poor.what());
    }
    if (!maps.back().quality.trustworthy()) {
      throw PoorData(
          sentence("%s gives no map of its own: only %.0f %% of its returns end on the same walls; look at it with "
                   "wainscot check",
                   drives[i].name.c_str(), 100.0 * maps.back().quality.matched_fraction));
    }
  }
  return maps;
}

/// Nodes, trajectory, and rows of markers and lines get their drives' numbers, scans and times back.
void give_back(const JoinedDrives& joined, Map& map) {
  for (Node& node : map.graph.nodes) {
    const std::size_t part = part_of_scan(joined.parts, node.scan);
    node.drive = static_cast<int>(part) + 1;
    node.time_s -= joined.parts[part].shift_s;
    node.scan = joined.own_scan[node.scan];
  }
  // The edge to the first node of a part says nothing: closures join the drives.
  std::erase_if(map.graph.edges, [&map](const Edge& edge) {
    return edge.kind == EdgeKind::odometry && map.graph.nodes[edge.from].drive != map.graph.nodes[edge.to].drive;
  });
  for (LeftOutSighting& seen : map.markers.left_out) {
    const std::size_t part = part_at(joined.parts, seen.time_s);
    seen.time_s -= joined.parts[part].shift_s;
    seen.reason = sentence("drive %zu: %s", part + 1, seen.reason.c_str());
  }
  for (LeftOutStretch& stretch : map.lines.left_out) {
    const std::size_t part = part_at(joined.parts, stretch.from_s);
    stretch.from_s -= joined.parts[part].shift_s;
    stretch.to_s -= joined.parts[part].shift_s;
    stretch.reason = sentence("drive %zu: %s", part + 1, stretch.reason.c_str());
  }
  Pose2 to_first;
  int drive = 0;
  for (TrajectoryRow& row : map.trajectory) {
    const std::size_t part = part_at(joined.parts, row.time_s);
    row.drive = static_cast<int>(part) + 1;
    row.time_s -= joined.parts[part].shift_s;
    if (row.drive != drive) to_first = row.pose * inverse(row.odometry);
    drive = row.drive;
    row.odometry = to_first * row.odometry;
  }
}

/// A node before and after the map was extended.
struct MovedNode {
  double old_time_s;
  double new_time_s;
  Pose2 old_pose;
  Pose2 new_pose;

  Pose2 carry(const Pose2& pose) const { return new_pose * between(old_pose, pose); }
};

/// Of one drive, in the order of time.
std::vector<MovedNode> moved_nodes(const Map& old, const Map& map, int drive) {
  std::vector<const Node*> old_nodes;  // by scan: the old drives hold the scans of nodes only
  for (const Node& node : old.graph.nodes) {
    if (node.drive == drive) old_nodes.push_back(&node);
  }
  std::vector<MovedNode> moved;
  for (const Node& node : map.graph.nodes) {
    if (node.drive != drive) continue;
    const Node& before = *old_nodes.at(node.scan);
    moved.push_back({before.time_s, node.time_s, before.pose, node.pose});
  }
  return moved;
}

/// Between two nodes the nearer in time says more; where they were moved differently (the drive broke between them),
/// that which the row lies beside has all the say.
TrajectoryRow carried(const TrajectoryRow& row, const MovedNode& a, const MovedNode& b) {
  constexpr double kSameTimeS = 2e-6;  // a map's files tell times to a microsecond
  // Chosen by hand: what the adjustment changes between neighbouring nodes is millimetres. Twice or half as much would
  // tell the same breaks.
  constexpr double kBrokenM = 0.05;
  TrajectoryRow result = row;
  for (const MovedNode& node : {a, b}) {
    if (std::abs(row.time_s - node.old_time_s) > kSameTimeS) continue;
    result.time_s = node.new_time_s;
    result.pose = node.new_pose;
    return result;
  }
  const double span_s = b.old_time_s - a.old_time_s;
  double share = span_s > 0.0 ? std::clamp((row.time_s - a.old_time_s) / span_s, 0.0, 1.0) : 0.0;
  const Pose2 by_a = a.carry(row.pose);
  Pose2 by_b = b.carry(row.pose);
  if ((by_a.translation() - by_b.translation()).norm() > kBrokenM) {
    const auto away = [&row](const MovedNode& node) { return between(node.old_pose, row.pose).translation().norm(); };
    share = away(a) <= away(b) ? 0.0 : 1.0;
  }
  by_b.heading_rad = by_a.heading_rad + wrap_angle(by_b.heading_rad - by_a.heading_rad);
  result.pose = interpolate(by_a, by_b, share);
  result.time_s = row.time_s + std::lerp(a.new_time_s - a.old_time_s, b.new_time_s - b.old_time_s, share);
  return result;
}

/// The old rows of one drive where the nodes carry them.
std::vector<TrajectoryRow> carried_rows(const Map& old, const Map& map, int drive) {
  const std::vector<MovedNode> nodes = moved_nodes(old, map, drive);
  std::vector<TrajectoryRow> rows;
  if (nodes.empty()) return rows;
  for (const TrajectoryRow& row : old.trajectory) {
    if (row.drive != drive) continue;
    const auto after = std::upper_bound(nodes.begin(), nodes.end(), row.time_s,
                                        [](double time_s, const MovedNode& node) { return time_s < node.old_time_s; });
    const MovedNode& b = after == nodes.end() ? nodes.back() : *after;
    const MovedNode& a = after == nodes.begin() ? nodes.front() : *(after - 1);
    rows.push_back(carried(row, a, b));
  }
  if (rows.empty()) return rows;
  const Pose2 old_first = std::find_if(old.trajectory.begin(), old.trajectory.end(), [drive](const TrajectoryRow& row) {
                            return row.drive == drive;
                          })->odometry;
  const Pose2 to_first = rows.front().pose * inverse(old_first);
  for (TrajectoryRow& row : rows) row.odometry = to_first * row.odometry;
  return rows;
}

void restore_cells(const Map& old, std::size_t old_drives, Map& map) {
  std::vector<MovedPose> poses;
  for (std::size_t i = 0; i < old_drives; ++i) {
    for (const MovedNode& node : moved_nodes(old, map, static_cast<int>(i) + 1)) {
      poses.push_back({node.old_pose, node.new_pose});
    }
  }
  if (!poses.empty()) keep_old_cells(old.grid, poses, map.grid);
}

/// Of rows between which there may be more than nodes tell.
DriveShare share_of(const std::vector<TrajectoryRow>& rows) {
  DriveShare share;
  share.scans_used = static_cast<int>(rows.size());
  for (std::size_t i = 1; i < rows.size(); ++i) {
    share.path_length_m += (rows[i].pose.translation() - rows[i - 1].pose.translation()).norm();
    share.duration_s += rows[i].time_s - rows[i - 1].time_s;
  }
  return share;
}

void restore_trajectory(const Map& old, std::size_t old_drives, Map& map) {
  std::vector<TrajectoryRow> rows;
  for (std::size_t i = 0; i < old_drives; ++i) {
    const std::vector<TrajectoryRow> of_drive = carried_rows(old, map, static_cast<int>(i) + 1);
    map.shares[i] = share_of(of_drive);
    rows.insert(rows.end(), of_drive.begin(), of_drive.end());
  }
  for (const TrajectoryRow& row : map.trajectory) {
    if (static_cast<std::size_t>(row.drive) > old_drives) rows.push_back(row);
  }
  map.trajectory = std::move(rows);
  map.quality.scans_used = static_cast<int>(map.trajectory.size());
  map.quality.path_length_m = map.quality.duration_s = 0.0;
  for (const DriveShare& share : map.shares) {
    map.quality.path_length_m += share.path_length_m;
    map.quality.duration_s += share.duration_s;
  }
  const TrajectoryRow& last = map.trajectory.back();
  map.quality.start_to_end_odometry_m = (last.odometry.translation() - last.pose.translation()).norm();
}

/// What was taken out before the drives were joined goes back into the constants: those of the first drive's day.
void restore_constants(const Drive& first, const DayConstants& day, Map& map) {
  double gyro_scale_change = 1.0;
  for (const RefinedConstant& c : map.constants) {
    if (c.name == "gyro.scale") gyro_scale_change = c.found / c.stated;
  }
  for (RefinedConstant& c : map.constants) {
    if (c.name == "lidar.sweep_s") c.found *= day.sweep_scale;
    if (c.name == "lidar.time_offset_s") c.found += day.time_offset_s;
    if (c.name == "lidar.clock_rate") c.found += day.clock_rate;
    if (c.name == "gyro.bias_rad_s") {
      c.stated = first.robot.gyro.bias_rad_s;
      c.found += gyro_bias_rad_s(first).value_or(0.0) * gyro_scale_change;
    }
    if (c.name == "gyro.scale") {
      c.stated *= first.robot.gyro.scale;
      c.found *= first.robot.gyro.scale;
    }
  }
}

}  // namespace

Map extend_map(const Map& old, std::span<const Drive> drives, std::size_t old_drives, const MapperOptions& options) {
  const std::span<const Drive> added = drives.subspan(old_drives);
  for (const Drive& drive : added) require_same_form(drives.front(), drive);
  MapperOptions own = options;
  own.cell_size_m = old.grid.frame.cell_size_m;
  const std::vector<Map> alone = maps_of(added, own);
  std::vector<std::string> warnings;
  for (std::size_t i = 0; i < added.size(); ++i) {
    for (std::string& told : require_same_robot(drives.front(), old, added[i], alone[i])) {
      warnings.push_back(std::move(told));
    }
  }
  std::vector<DayConstants> days;
  for (std::size_t i = 0; i < drives.size(); ++i) {
    days.push_back(i < old_drives ? day_constants(old, drives[i], static_cast<int>(i) + 1)
                                  : day_constants(alone[i - old_drives], drives[i], 1));
  }
  const JoinedDrives joined = join_drives(drives, days, old_drives);
  own.parts = joined.parts;
  // A survey, which is the old drives' still, sets the frame again.
  if (!old.markers.frame_by_survey) own.frame.first_pose = old.graph.nodes.front().pose;
  own.progress = [&options](const std::string& stage, double fraction) {
    if (options.progress) options.progress(stage, kAloneShare + (1.0 - kAloneShare) * fraction);
  };
  Map map;
  try {
    own.expected = expected_poses(joined, old, drives, alone);
    map = build_map(joined.drive, own);
  } catch (const PoorData& poor) {
    throw PoorData(poor.what() + (warnings.empty() ? "" : "; besides, " + warnings.front()));
  }
  give_back(joined, map);
  restore_trajectory(old, old_drives, map);
  restore_cells(old, old_drives, map);
  restore_constants(drives.front(), days.front(), map);
  for (const int left_out : joined.left_out) map.quality.scans_outside_odometry += left_out;
  map.warnings.insert(map.warnings.begin(), warnings.begin(), warnings.end());
  return map;
}

}  // namespace wainscot
