#include "graph/mapping/mapper.hpp"

#include <utility>

#include "core/errors.hpp"
#include "core/odometry.hpp"
#include "graph/adjust/joint_adjustment.hpp"
#include "graph/adjust/loose_ties.hpp"
#include "graph/adjust/scan_poses.hpp"
#include "graph/close/loop_closure.hpp"
#include "graph/mapping/grid_size.hpp"
#include "graph/mapping/map_account.hpp"
#include "graph/mapping/map_grid.hpp"
#include "graph/mapping/map_stages.hpp"
#include "graph/mapping/restated_edges.hpp"
#include "graph/mapping/tied_nodes.hpp"
#include "graph/markers/line_agreement.hpp"
#include "graph/markers/line_factors.hpp"
#include "graph/markers/marker_agreement.hpp"
#include "graph/markers/node_sightings.hpp"
#include "graph/tied_parts.hpp"
#include "graph/track/keyframes.hpp"
#include "graph/usable_scans.hpp"

namespace wainscot {
namespace {

std::vector<double> node_times_s(const std::vector<Keyframe>& keyframes) {
  std::vector<double> times_s;
  for (const Keyframe& keyframe : keyframes) times_s.push_back(keyframe.time_s);
  return times_s;
}

LoopClosureOptions closing_options(const Drive& drive, const std::vector<OdometryStep>& steps,
                                   const TrackedPath& tracked, const MapperOptions& options) {
  LoopClosureOptions closing;
  if (!options.close_loops) closing.most_rounds = 0;
  closing.hints = drive.hints;
  closing.markers = marker_names(drive);
  closing.sightings = sightings_at_nodes(drive, steps, node_times_s(tracked.keyframes), tracked.poses);
  closing.parts = options.parts;
  if (options.expected.empty()) return closing;
  for (const Keyframe& keyframe : tracked.keyframes) closing.expected.push_back(options.expected.at(keyframe.scan));
  return closing;
}

/// What the adjustment begins with; it is the same where it is done a second time.
struct ClosedDrive {
  Quality counted;  ///< the scans that were left out
  std::vector<std::size_t> scans;
  std::vector<OdometryStep> steps;
  TrackedPath tracked;
  ClosedGraph closed;
  JointOptions joining;
  std::vector<Pose2> poses;
  std::vector<std::size_t> tied;  ///< of each node, see graph/mapping/tied_nodes.hpp
};

using Fraction = std::function<void(double)>;

/// One stage's share of the whole job.
Fraction stage(const MapperOptions& options, const char* name, double from, double to) {
  return [&options, name, from, to](double fraction) {
    if (options.progress) options.progress(name, from + (to - from) * fraction);
  };
}

ClosedDrive closed_drive(const Drive& drive, const MapperOptions& options) {
  ClosedDrive at;
  at.steps = odometry_steps(drive);
  if (at.steps.empty())
    throw PoorData("the drive has fewer than two rows of odometry; record wheels and scans together");
  const UsableScans usable = usable_scans(drive, at.steps);
  at.scans = usable.scans;
  at.counted.scans_outside_odometry = usable.outside_odometry;
  at.counted.scans_without_enough_returns = usable.without_enough_returns;
  if (at.scans.size() < 2) throw_too_few_scans(drive, at.counted);
  require_possible_grid(drive, at.scans, OdometryPath(at.steps, {}), options.cell_size_m);

  TrackingOptions tracking;
  tracking.parts = options.parts;
  at.tracked = track_keyframes(drive, at.scans, at.steps, tracking, stage(options, "matching", 0.0, 0.25));
  if (at.tracked.poses.size() < 2) {
    throw PoorData("the robot hardly moved: a map needs a drive of at least 0.3 m or a turn of 17 degrees");
  }
  at.steps = with_unseen_slips(without_jumps(std::move(at.steps), at.tracked), at.tracked);
  const LoopClosureOptions closing = closing_options(drive, at.steps, at.tracked, options);
  const RangeNoise noise = range_noise(drive.robot.lidar);
  at.closed = close_loops(at.tracked, noise, closing, options.threads, stage(options, "closing loops", 0.25, 0.5));
  require_joined(options.parts, at.closed.graph.nodes, at.closed.candidates);
  at.joining.markers = agreeing_markers(drive, closing.sightings, at.closed.graph);
  at.joining.lines = agreeing_lines(drive, at.closed.graph, at.joining.markers.map_from_survey);
  if (!at.joining.markers.map_from_survey) at.joining.markers.map_from_survey = at.joining.lines.map_from_survey;
  at.tied = first_tied_nodes(at.closed.graph, at.joining.markers.sightings);
  for (const std::size_t edge : sampled_edges(at.closed.graph)) {
    at.joining.pairs.push_back({at.closed.graph.edges[edge].from, at.closed.graph.edges[edge].to});
  }
  at.poses = poses_on_lines(at.closed.graph, at.joining.lines);
  return at;
}

/// From the adjustment on. `keyframes`: of the tracked path; `from`, `to`: this share of the whole job.
Map adjusted_map(const Drive& drive, const MapperOptions& options, const ClosedDrive& at,
                 std::vector<Keyframe> keyframes, double from, double to) {
  const double placing = from + 0.625 * (to - from);  // of the processor time of drives of the demonstration's length
  Map map;
  map.quality = at.counted;
  JointResult adjusted = adjust_jointly(drive, at.steps, std::move(keyframes), at.poses, at.joining, options.threads,
                                        stage(options, "adjusting", from, placing));
  adjusted.loose_ties = loose_tie_covariances(at.steps, odometry_noise(drive.robot), node_times_s(adjusted.keyframes),
                                              adjusted.poses, at.tied);
  std::vector<ScanPose> placed = place_scans(drive, at.steps, at.scans, at.tracked.jumps, adjusted, options.threads,
                                             stage(options, "placing scans", placing, to));
  map.quality.way_left_open_m = at.tracked.way_left_open_m;
  map.troubles = {at.tracked.left_open, at.tracked.jumps, unjoined_nodes(at.tied)};
  map.quality.scans_used = static_cast<int>(placed.size());
  map.quality.scans_while_carried = static_cast<int>(at.scans.size() - placed.size());
  const OdometryPath path(at.steps, adjusted.constants.odometry());
  const BeamsOfScan beams_of = beams_of_scans(drive, path, adjusted);
  Pose2 frame;
  if (options.frame.is_asked()) {
    frame = wanted_frame(options.frame, wall_pieces(adjusted), placed.front().pose);
    placed = in_frame(frame, std::move(placed), beams_of, options.threads);
  }
  DrawnGrid drawn = draw_grid(drive, placed, beams_of, adjusted.range_noise, options.cell_size_m, options.parts);
  map.grid = std::move(drawn.grid);
  map.changes = std::move(drawn.changes);
  give_account(drive, path, at.tracked.jumps, at.closed, adjusted, placed, at.joining.lengths, options.parts, map);
  if (options.frame.is_asked()) {
    map.wall_pieces = in_frame(frame, std::move(map.wall_pieces));
    map.markers = in_frame(frame, std::move(map.markers));
    map.lines = in_frame(frame, std::move(map.lines));
  }
  for (const auto* warnings : {&at.closed.warnings, &at.joining.markers.warnings, &at.joining.lines.warnings}) {
    map.warnings.insert(map.warnings.end(), warnings->begin(), warnings->end());
  }
  if (options.observe) options.observe({at.scans, at.tracked, at.closed, adjusted, placed, beams_of, map});
  return map;
}

}  // namespace

Map build_map(const Drive& drive, const MapperOptions& options) {
  // Shares of the whole job, as they were when the progress bar was made: they move nothing but it.
  constexpr double kClosed = 0.5;
  constexpr double kPlaced = 0.9;
  ClosedDrive at = closed_drive(drive, options);
  double begun = kClosed;
  if (options.lengths) {
    MapperOptions unseen = options;
    unseen.observe = {};
    begun = 0.5 * (kClosed + kPlaced);
    at.joining.lengths = options.lengths(adjusted_map(drive, unseen, at, at.tracked.keyframes, kClosed, begun));
  }
  std::vector<Keyframe> keyframes = options.observe ? at.tracked.keyframes : std::move(at.tracked.keyframes);
  Map map = adjusted_map(drive, options, at, std::move(keyframes), begun, kPlaced);
  if (options.progress) options.progress("done", 1.0);
  return map;
}

}  // namespace wainscot
