#include "graph/mapping/stage_traces.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numbers>
#include <utility>

#include <Eigen/Geometry>

#include "core/angles.hpp"
#include "core/odometry.hpp"
#include "graph/close/place.hpp"
#include "graph/close/verification.hpp"
#include "graph/mapping/map_grid.hpp"
#include "graph/mapping/map_stages.hpp"
#include "graph/mapping/mapper.hpp"
#include "graph/optimiser.hpp"
#include "graph/track/keyframes.hpp"

namespace wainscot {
namespace {

double turned_rad(const Pose2& from, const Pose2& to) { return wrap_angle(to.heading_rad - from.heading_rad); }

/// How far matching moved a node from where odometry put it, seen from the node before. A turn counts 2 m a radian.
double correction_m(const TrackedPath& tracked, const std::vector<Pose2>& odometry, std::size_t node) {
  const Pose2 said = between(odometry[node - 1], odometry[node]);
  const Pose2 found = between(tracked.poses[node - 1], tracked.poses[node]);
  return (said.translation() - found.translation()).norm() + 2.0 * std::abs(turned_rad(said, found));
}

/// The node whose match is explained: next to the time that was asked for, else one that shows much: many returns with
/// a normal, and odometry visibly wrong.
std::size_t telling_node(const TrackedPath& tracked, const std::vector<Pose2>& odometry,
                         const std::optional<double>& at_s) {
  constexpr std::size_t kFirst = 5;  // the local map holds some walls by then
  const std::size_t first = std::min(kFirst, tracked.poses.size() - 1);
  std::size_t best = first;
  double most = -1.0;
  for (std::size_t node = at_s ? 1 : first; node < tracked.poses.size(); ++node) {
    const std::vector<ScanPoint>& points = tracked.keyframes[node].points;
    const auto with_normal = std::count_if(points.begin(), points.end(),
                                           [](const ScanPoint& p) { return p.normal_x != 0.0F || p.normal_y != 0.0F; });
    const bool matched = tracked.edges[node - 1].kind == EdgeKind::match;
    const double worth = at_s ? 1e6 - std::abs(tracked.keyframes[node].time_s - *at_s)
                              : std::min(correction_m(tracked, odometry, node), 0.1) *
                                    static_cast<double>(with_normal) * (matched ? 1.0 : 0.0);
    if (worth > most) {
      most = worth;
      best = node;
    }
  }
  return best;
}

MatchExplanation explain_match(const Drive& drive, const std::vector<std::size_t>& scans, const TrackedPath& tracked,
                               std::size_t node) {
  TrackingOptions tracking;
  tracking.keep_match_of = node;
  TrackedPath again = track_keyframes(drive, scans, odometry_steps(drive), tracking, {});
  MatchExplanation match;
  match.node = node;
  match.time_s = tracked.keyframes[node].time_s;
  match.problem = std::move(*again.kept_match);
  match.before = tracked.keyframes[node - 1].points;
  match.before_pose = tracked.poses[node - 1];
  match.kept = tracked.poses[node];
  // What a visitor would try first: further on, to the side, turned, and all together; places of the page's sliders.
  for (const Tangent2& shift :
       {Tangent2(0.0, 0.0, 0.0), Tangent2(0.15, 0.0, 0.0), Tangent2(0.0, 0.15, 0.0), Tangent2(0.0, 0.0, 8.0 * kDegree),
        Tangent2(0.2, -0.15, 5.5 * kDegree), Tangent2(0.9, 0.6, 28.5 * kDegree)}) {
    MatchProblem problem = match.problem;
    problem.predicted = problem.predicted * exp(shift);
    // Only the mapper's own match keeps odometry's word: it would hold the scan where the shift put it.
    if (!shift.isZero()) problem.prior.setZero();
    match.matches.push_back({shift, trace_icp(problem)});
  }
  return match;
}

std::vector<double> ways_along(const std::vector<Pose2>& poses) {
  std::vector<double> ways{0.0};
  for (std::size_t i = 1; i < poses.size(); ++i) {
    ways.push_back(ways.back() + (poses[i].translation() - poses[i - 1].translation()).norm());
  }
  return ways;
}

/// Says that the node furthest from the first one stands where the first one does.
std::optional<FalseClosure> made_up_closure(const TrackedPath& tracked, const std::vector<Pose2>& poses,
                                            const RangeNoise& noise) {
  constexpr double kSdM = 0.01;     // as sure as a closure of the mapper
  constexpr double kSdRad = 0.004;  // likewise
  constexpr double kLeastM = 1.5;   // nearer it would bend nothing that an eye sees
  FalseClosure made_up;
  std::size_t far = 0;
  for (std::size_t i = 0; i < poses.size(); ++i) {
    const double distance = (poses[i].translation() - poses.front().translation()).norm();
    if (distance > made_up.distance_m) {
      made_up.distance_m = distance;
      far = i;
    }
  }
  if (made_up.distance_m < kLeastM) return std::nullopt;
  const Pose2 claimed{0.0, 0.0, turned_rad(poses.front(), poses[far])};
  made_up.edge = {EdgeKind::closure, 0, far, claimed, Eigen::Matrix3d::Zero()};
  made_up.edge.information.diagonal() << 1.0 / (kSdM * kSdM), 1.0 / (kSdM * kSdM), 1.0 / (kSdRad * kSdRad);
  const std::vector<double> ways = ways_along(tracked.poses);
  const SeenPath seen{tracked.keyframes, tracked.poses, ways, noise};
  const Place earlier(seen, 0);
  const Place later(seen, far);
  const Eigen::Matrix3d anyhow = Eigen::Vector3d(1.0, 1.0, std::numbers::pi * std::numbers::pi).asDiagonal();
  made_up.tested = verify_anywhere(earlier, later, claimed, anyhow, noise).candidate;
  return made_up;
}

GraphExplanation explain_graph(const Drive& drive, const MapStages& stages, const std::vector<Pose2>& odometry) {
  GraphExplanation graph;
  graph.odometry = odometry;
  graph.tracked = stages.tracked.poses;
  graph.adjusted = stages.adjusted.poses;
  graph.edges = stages.closed.graph.edges;
  graph.candidates = stages.closed.candidates;
  for (const Keyframe& keyframe : stages.tracked.keyframes) {
    graph.scans.push_back(keyframe.points);
    graph.times_s.push_back(keyframe.time_s);
  }
  graph.false_closure = made_up_closure(stages.tracked, stages.adjusted.poses, range_noise(drive.robot.lidar));
  graph.replays = replay_optimiser(odometry, graph.tracked, graph.edges, graph.false_closure);
  return graph;
}

struct Chosen {
  const char* what;
  std::size_t cell;
};

std::size_t cell_at(const GridFrame& frame, const Eigen::Vector2d& place) {
  const auto lattice = [&](double value_m) {
    return static_cast<std::int32_t>(std::floor(value_m / frame.cell_size_m));
  };
  const std::int32_t column = std::clamp(lattice(place.x()) - frame.first_column, 0, frame.columns - 1);
  const std::int32_t row = std::clamp(lattice(place.y()) - frame.first_row, 0, frame.rows - 1);
  return static_cast<std::size_t>(row) * static_cast<std::size_t>(frame.columns) + static_cast<std::size_t>(column);
}

/// A cell of the wall that most nodes saw, one of the floor in the middle of the drive, and one of what changed.
std::vector<Chosen> chosen_cells(const Map& map) {
  std::vector<Chosen> chosen;
  const GridFrame& frame = map.grid.frame;
  const WallPiece* seen_most = nullptr;
  for (const WallPiece& piece : map.wall_pieces) {
    const bool occupied = map.grid.probability[cell_at(frame, piece.middle_m)] > 0.5F;
    if (occupied && (seen_most == nullptr || piece.nodes > seen_most->nodes)) seen_most = &piece;
  }
  if (seen_most != nullptr) chosen.push_back({"wall", cell_at(frame, seen_most->middle_m)});
  const std::vector<TrajectoryRow>& path = map.trajectory;
  chosen.push_back({"floor", cell_at(frame, path[path.size() / 2].pose.translation())});
  if (!map.changes.empty()) {
    const std::vector<std::size_t>& cells = map.changes.front().cells;
    chosen.push_back(
        {map.changes.front().door ? "door" : "something that was not always there", cells[cells.size() / 2]});
  }
  return chosen;
}

/// The beam of a scan that came nearest to a place, if any came within half a cell.
std::optional<RasterBeam> beam_through(const std::vector<RasterBeam>& beams, const Eigen::Vector2d& place, bool hit,
                                       double cell_size_m) {
  std::optional<RasterBeam> best;
  double nearest = 0.75 * cell_size_m;
  for (const RasterBeam& beam : beams) {
    if (hit && (!beam.hit || beam.vague)) continue;
    const Eigen::Vector2d from(static_cast<double>(beam.origin_x_m), static_cast<double>(beam.origin_y_m));
    const Eigen::Vector2d to(static_cast<double>(beam.end_x_m), static_cast<double>(beam.end_y_m));
    const Eigen::Vector2d way = to - from;
    const double along = hit ? 1.0 : std::clamp((place - from).dot(way) / way.squaredNorm(), 0.0, 1.0);
    const double distance = (from + along * way - place).norm();
    if (distance < nearest) {
      nearest = distance;
      best = beam;
    }
  }
  return best;
}

std::vector<float> surroundings(const OccupancyGrid& grid, std::size_t cell) {
  constexpr std::int32_t kReach = CellExplanation::kReach;
  const auto columns = static_cast<std::size_t>(grid.frame.columns);
  const auto column = static_cast<std::int32_t>(cell % columns);
  const auto row = static_cast<std::int32_t>(cell / columns);
  std::vector<float> around;
  for (std::int32_t r = row - kReach; r <= row + kReach; ++r) {
    for (std::int32_t c = column - kReach; c <= column + kReach; ++c) {
      const bool inside = r >= 0 && c >= 0 && r < grid.frame.rows && c < grid.frame.columns;
      around.push_back(inside ? grid.probability[static_cast<std::size_t>(r) * columns + static_cast<std::size_t>(c)]
                              : std::numeric_limits<float>::quiet_NaN());
    }
  }
  return around;
}

std::vector<CellExplanation> explain_cells(const Drive& drive, const MapStages& stages, const ExplainOptions& options) {
  const std::vector<Chosen> chosen = chosen_cells(stages.map);
  std::vector<std::size_t> watched;
  for (const Chosen& c : chosen) watched.push_back(c.cell);
  const DrawnGrid drawn =
      draw_grid(drive, stages.placed, stages.beams_of, stages.adjusted.range_noise, options.cell_size_m, {}, watched);
  const GridFrame& frame = drawn.grid.frame;
  std::vector<CellExplanation> cells;
  for (std::size_t i = 0; i < chosen.size(); ++i) {
    const std::size_t columns = static_cast<std::size_t>(frame.columns);
    const Eigen::Vector2d middle = frame.lower_left_corner_m() +
                                   frame.cell_size_m * Eigen::Vector2d(static_cast<double>(watched[i] % columns) + 0.5,
                                                                       static_cast<double>(watched[i] / columns) + 0.5);
    CellExplanation cell{chosen[i].what,
                         middle,
                         {},
                         static_cast<double>(drawn.grid.probability[watched[i]]),
                         surroundings(drawn.grid, watched[i])};
    const std::vector<CellEvent>& history = drawn.histories[i];
    const std::size_t every = 1 + history.size() / options.most_events;
    for (std::size_t k = 0; k < history.size(); ++k) {
      const ScanPose& scan = stages.placed[history[k].scan];
      ExplainedEvent event{history[k], scan.time_s, std::nullopt};
      if (k % every == 0) event.beam = beam_through(stages.beams_of(scan), middle, event.event.hit, frame.cell_size_m);
      cell.events.push_back(event);
    }
    cells.push_back(std::move(cell));
  }
  return cells;
}

}  // namespace

std::vector<Replay> replay_optimiser(const std::vector<Pose2>& odometry, const std::vector<Pose2>& tracked,
                                     const std::vector<Edge>& edges, const std::optional<FalseClosure>& false_closure) {
  std::vector<Replay> replays;
  const auto add = [&replays](bool from_odometry, bool true_closures, bool wrong, bool robust) {
    replays.push_back({from_odometry, true_closures, wrong, robust, {}, {}});
  };
  add(false, true, false, true);
  add(true, true, false, true);
  add(false, false, false, true);
  if (false_closure) {
    for (const bool true_closures : {true, false}) {
      for (const bool robust : {false, true}) add(false, true_closures, true, robust);
    }
  }
  for (Replay& replay : replays) {
    PoseGraph graph;
    for (const Pose2& pose : replay.from_odometry ? odometry : tracked) {
      Node node;
      node.pose = pose;
      graph.nodes.push_back(node);
    }
    graph.edges = edges;
    if (!replay.true_closures) {
      std::erase_if(graph.edges, [](const Edge& edge) { return edge.kind == EdgeKind::closure; });
    }
    if (replay.false_closure) graph.edges.push_back(false_closure->edge);
    OptimiserOptions options;
    options.keep_poses = true;
    if (!replay.robust) options.closure_robust_ratio = 0.0;
    OptimiserSummary summary = optimise(graph, options);
    replay.cost_by_iteration = std::move(summary.cost_by_iteration);
    replay.poses_by_iteration = std::move(summary.poses_by_iteration);
  }
  return replays;
}

DriveExplanation explain_drive(const Drive& drive, const ExplainOptions& options,
                               const std::function<void(const std::string& stage, double fraction)>& progress) {
  DriveExplanation explanation;
  MapperOptions mapper;
  mapper.cell_size_m = options.cell_size_m;
  mapper.threads = options.threads;
  mapper.progress = progress;
  mapper.observe = [&](const MapStages& stages) {
    const OdometryPath path(odometry_steps(drive), {});
    const Pose2 begin = path.pose_at(stages.tracked.keyframes.front().time_s);
    std::vector<Pose2> odometry;
    for (const Keyframe& keyframe : stages.tracked.keyframes) {
      odometry.push_back(between(begin, path.pose_at(keyframe.time_s)));
    }
    explanation.match =
        explain_match(drive, stages.scans, stages.tracked, telling_node(stages.tracked, odometry, options.match_at_s));
    explanation.graph = explain_graph(drive, stages, odometry);
    explanation.cells = explain_cells(drive, stages, options);
    const std::vector<OdometryStep> steps = without_jumps(odometry_steps(drive), stages.tracked);
    explanation.walls = trace_adjustment(drive, {steps, stages.adjusted.constants.odometry()}, stages.adjusted);
  };
  explanation.map = build_map(drive, mapper);
  return explanation;
}

}  // namespace wainscot
