#include "graph/mapping/mapper.hpp"

#include <utility>

#include "core/errors.hpp"
#include "core/odometry.hpp"
#include "graph/adjust/joint_adjustment.hpp"
#include "graph/adjust/scan_poses.hpp"
#include "graph/close/loop_closure.hpp"
#include "graph/mapping/grid_size.hpp"
#include "graph/mapping/map_account.hpp"
#include "graph/mapping/map_grid.hpp"
#include "graph/mapping/map_stages.hpp"
#include "graph/markers/line_agreement.hpp"
#include "graph/markers/line_factors.hpp"
#include "graph/markers/marker_agreement.hpp"
#include "graph/markers/node_sightings.hpp"
#include "graph/tied_parts.hpp"
#include "graph/track/keyframes.hpp"
#include "graph/usable_scans.hpp"

namespace wainscot {
namespace {

std::vector<double> node_times_s(const TrackedPath& tracked) {
  std::vector<double> times_s;
  for (const Keyframe& keyframe : tracked.keyframes) times_s.push_back(keyframe.time_s);
  return times_s;
}

LoopClosureOptions closing_options(const Drive& drive, const std::vector<OdometryStep>& steps,
                                   const TrackedPath& tracked, const MapperOptions& options) {
  LoopClosureOptions closing;
  if (!options.close_loops) closing.most_rounds = 0;
  closing.hints = drive.hints;
  closing.markers = marker_names(drive);
  closing.sightings = sightings_at_nodes(drive, steps, node_times_s(tracked), tracked.poses);
  closing.parts = options.parts;
  if (options.expected.empty()) return closing;
  for (const Keyframe& keyframe : tracked.keyframes) closing.expected.push_back(options.expected.at(keyframe.scan));
  return closing;
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
  const UsableScans usable = usable_scans(drive, steps);
  const std::vector<std::size_t>& scans = usable.scans;
  map.quality.scans_outside_odometry = usable.outside_odometry;
  map.quality.scans_without_enough_returns = usable.without_enough_returns;
  if (scans.size() < 2) throw_too_few_scans(drive, map.quality);
  require_possible_grid(drive, scans, OdometryPath(steps, {}), options.cell_size_m);

  TrackingOptions tracking;
  tracking.parts = options.parts;
  TrackedPath tracked = track_keyframes(drive, scans, steps, tracking, stage("matching", 0.0, 0.25));
  if (tracked.poses.size() < 2) {
    throw PoorData("the robot hardly moved: a map needs a drive of at least 0.3 m or a turn of 17 degrees");
  }
  steps = without_jumps(std::move(steps), tracked);
  const LoopClosureOptions closing = closing_options(drive, steps, tracked, options);
  const RangeNoise noise = range_noise(drive.robot.lidar);
  ClosedGraph closed = close_loops(tracked, noise, closing, options.threads, stage("closing loops", 0.25, 0.5));
  require_joined(options.parts, closed.graph.nodes, closed.candidates);
  JointOptions joining;
  joining.markers = agreeing_markers(drive, closing.sightings, closed.graph);
  joining.lines = agreeing_lines(drive, closed.graph, joining.markers.map_from_survey);
  if (!joining.markers.map_from_survey) joining.markers.map_from_survey = joining.lines.map_from_survey;
  std::vector<Pose2> poses = poses_on_lines(closed.graph, joining.lines);
  std::vector<Keyframe> keyframes = options.observe ? tracked.keyframes : std::move(tracked.keyframes);
  const JointResult adjusted = adjust_jointly(drive, steps, std::move(keyframes), std::move(poses), joining,
                                              options.threads, stage("adjusting", 0.5, 0.75));
  std::vector<ScanPose> placed =
      place_scans(drive, steps, scans, tracked.jumps, adjusted, options.threads, stage("placing scans", 0.75, 0.9));
  map.quality.way_left_open_m = tracked.way_left_open_m;
  map.troubles = {tracked.left_open, tracked.jumps};
  map.quality.scans_used = static_cast<int>(placed.size());
  map.quality.scans_while_carried = static_cast<int>(scans.size() - placed.size());
  const OdometryPath path(steps, adjusted.constants.odometry());
  const BeamsOfScan beams_of = beams_of_scans(drive, path, adjusted);
  Pose2 frame;
  if (options.frame.is_asked()) {
    frame = wanted_frame(options.frame, wall_pieces(adjusted), placed.front().pose);
    placed = in_frame(frame, std::move(placed), beams_of, options.threads);
  }
  DrawnGrid drawn = draw_grid(drive, placed, beams_of, options.cell_size_m, options.parts);
  map.grid = std::move(drawn.grid);
  map.changes = std::move(drawn.changes);
  give_account(drive, path, tracked.jumps, closed, adjusted, placed, options.parts, map);
  if (options.frame.is_asked()) {
    map.wall_pieces = in_frame(frame, std::move(map.wall_pieces));
    map.markers = in_frame(frame, std::move(map.markers));
    map.lines = in_frame(frame, std::move(map.lines));
  }
  map.warnings.insert(map.warnings.end(), closed.warnings.begin(), closed.warnings.end());
  map.warnings.insert(map.warnings.end(), joining.markers.warnings.begin(), joining.markers.warnings.end());
  map.warnings.insert(map.warnings.end(), joining.lines.warnings.begin(), joining.lines.warnings.end());
  if (options.observe) options.observe({scans, tracked, closed, adjusted, placed, beams_of, map});
  if (options.progress) options.progress("done", 1.0);
  return map;
}

}  // namespace wainscot
