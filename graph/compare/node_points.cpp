#include "graph/compare/node_points.hpp"

#include <algorithm>
#include <numbers>
#include <string>

namespace wainscot {
namespace {

/// Where the robot was `after_s` after `row`, on the arc to the next row.
Pose2 pose_after(const std::vector<TrajectoryRow>& rows, std::size_t row, double after_s) {
  while (row + 2 < rows.size() && rows[row + 1].time_s - rows[row].time_s < after_s &&
         rows[row + 1].drive == rows[row].drive) {
    after_s -= rows[row + 1].time_s - rows[row].time_s;
    ++row;
  }
  if (row + 1 >= rows.size() || rows[row + 1].drive != rows[row].drive) return rows[row].pose;
  const double step_s = rows[row + 1].time_s - rows[row].time_s;
  return step_s > 0.0 ? interpolate(rows[row].pose, rows[row + 1].pose, after_s / step_s) : rows[row].pose;
}

}  // namespace

LidarModel found_lidar(const Map& map, const Robot& robot) {
  LidarModel model = lidar_model(robot.lidar);
  for (const RefinedConstant& c : map.constants) {
    if (c.name == "lidar.x_m") model.mounting.x_m = c.found;
    if (c.name == "lidar.y_m") model.mounting.y_m = c.found;
    if (c.name == "lidar.heading_deg") model.mounting.heading_rad = c.found * std::numbers::pi / 180.0;
    if (c.name == "lidar.range_scale") model.range_scale = c.found;
    if (c.name == "lidar.range_offset_m") model.range_offset_m = c.found;
    if (c.name == "lidar.sweep_s" && c.stated > 0.0) model.sweep_scale = c.found / c.stated;
  }
  return model;
}

std::vector<ScanPoint> node_points(const Map& map, const Drive& drive, const LidarModel& lidar, std::size_t node) {
  const Node& at = map.graph.nodes.at(node);
  const Scan& scan = drive.scans.at(at.scan);
  const auto row =
      std::lower_bound(map.trajectory.begin(), map.trajectory.end(), at, [](const TrajectoryRow& r, const Node& n) {
        return r.drive != n.drive ? r.drive < n.drive : r.time_s < n.time_s;
      });
  SweepMotion motion;
  const double duration_s = sweep_duration_s(scan, lidar);
  // A row much later is after a gap: what the robot did in it is not known.
  const bool moves = row != map.trajectory.end() && duration_s > 0.0 && std::next(row) != map.trajectory.end() &&
                     std::next(row)->time_s - row->time_s < 3.0 * duration_s;
  if (moves) {
    motion.duration_s = duration_s;
    const auto first = static_cast<std::size_t>(row - map.trajectory.begin());
    for (std::size_t i = 0; i < motion.poses.size(); ++i) {
      const double after_s = duration_s * static_cast<double>(i) / SweepMotion::kSteps;
      motion.poses[i] = between(row->pose, pose_after(map.trajectory, first, after_s));
    }
  }
  return correct_motion(scan, lidar, drive.robot.lidar.max_range_m, motion);
}

}  // namespace wainscot
