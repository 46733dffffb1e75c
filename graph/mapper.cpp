#include "graph/mapper.hpp"

#include <utility>

#include "core/odometry.hpp"
#include "graph/joined_drives.hpp"
#include "graph/joint_adjustment.hpp"
#include "graph/keyframes.hpp"
#include "graph/loop_closure.hpp"
#include "graph/map_account.hpp"
#include "graph/map_grid.hpp"
#include "graph/scan_poses.hpp"

namespace wainscot {
namespace {

/// The scans that lie wholly inside odometry's times and hold enough returns; the others are counted.
std::vector<std::size_t> usable_scans(const Drive& drive, const std::vector<OdometryStep>& steps, Quality& quality) {
  constexpr std::size_t kFewestReturns = 20;
  std::vector<std::size_t> usable;
  for (std::size_t i = 0; i < drive.scans.size(); ++i) {
    const Scan& scan = drive.scans[i];
    const double length_s = scan.returns.empty() ? 0.0 : static_cast<double>(scan.returns.back().time_offset_s);
    if (scan.time_s < steps.front().begin_s || scan.time_s + length_s > steps.back().end_s) {
      ++quality.scans_outside_odometry;
    } else if (scan.returns.size() < kFewestReturns) {
      ++quality.scans_without_enough_returns;
    } else {
      usable.push_back(i);
    }
  }
  return usable;
}

}  // namespace

Map build_map(const Drive& drive, const MapperOptions& options) {
  const auto stage = [&](const char* name, double from, double to) {
    return [&options, name, from, to](double fraction) {
      if (options.progress) options.progress(name, from + (to - from) * fraction);
    };
  };
  Map map;
  std::vector<OdometryStep> steps = odometry_steps(drive);
  if (steps.empty()) throw PoorData("the drive has fewer than two rows of odometry; record wheels and scans together");
  const std::vector<std::size_t> scans = usable_scans(drive, steps, map.quality);
  if (scans.size() < 2) throw_too_few_scans(drive, map.quality);

  TrackingOptions tracking;
  tracking.parts = options.parts;
  TrackedPath tracked = track_keyframes(drive, scans, steps, tracking, stage("matching", 0.0, 0.25));
  if (tracked.poses.size() < 2) {
    throw PoorData("the robot hardly moved: a map needs a drive of at least 0.3 m or a turn of 17 degrees");
  }
  steps = without_jumps(std::move(steps), tracked);
  LoopClosureOptions closing;
  if (!options.close_loops) closing.most_rounds = 0;
  closing.hints = drive.hints;
  closing.parts = options.parts;
  const RangeNoise noise{drive.robot.lidar.noise_m, drive.robot.lidar.noise_per_m};
  ClosedGraph closed = close_loops(tracked, noise, closing, options.threads, stage("closing loops", 0.25, 0.5));
  require_joined(options.parts, closed.graph.nodes, closed.candidates);
  std::vector<Pose2> poses;
  for (const Node& node : closed.graph.nodes) poses.push_back(node.pose);
  const JointResult adjusted = adjust_jointly(drive, steps, std::move(tracked.keyframes), std::move(poses), {},
                                              options.threads, stage("adjusting", 0.5, 0.75));
  const std::vector<ScanPose> placed =
      place_scans(drive, steps, scans, tracked.jumps, adjusted, options.threads, stage("placing scans", 0.75, 0.9));
  map.quality.way_left_open_m = tracked.way_left_open_m;
  map.quality.scans_used = static_cast<int>(placed.size());
  map.quality.scans_while_carried = static_cast<int>(scans.size() - placed.size());
  const OdometryPath path(steps, adjusted.constants.odometry());
  DrawnGrid drawn = draw_grid(drive, placed, beams_of_scans(drive, path, adjusted), options.cell_size_m, options.parts);
  map.grid = std::move(drawn.grid);
  map.changes = std::move(drawn.changes);
  give_account(drive, path, tracked.jumps, closed, adjusted, placed, options.parts, map);
  map.warnings.insert(map.warnings.end(), closed.warnings.begin(), closed.warnings.end());
  if (options.progress) options.progress("done", 1.0);
  return map;
}

}  // namespace wainscot
