#pragma once

// How a map came about, stage by stage, as values: one match, the pose graph, some cells of the grid, and some pieces
// of wall of the joint adjustment. The traces come from the stages themselves (trace_icp, optimise, Rasteriser::watch);
// nothing here decides anything for a map.

#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "core/drive.hpp"
#include "core/rasteriser.hpp"
#include "graph/adjust/adjustment_trace.hpp"
#include "graph/map.hpp"
#include "graph/pose_graph.hpp"
#include "scanmatch/icp.hpp"

namespace wainscot {

struct ExplainOptions {
  std::optional<double> match_at_s;  ///< the match to explain is that of the node next to this time; else a telling one
  double cell_size_m = 0.05;         ///< the mapper's
  int threads = 0;                   ///< 0: as many as the machine has; the result does not depend on it
  std::size_t most_events = 240;     ///< of a cell's history that come with the beam that made them
};

/// A match begun elsewhere than where odometry predicts.
struct ShiftedMatch {
  Tangent2 shift{0.0, 0.0, 0.0};  ///< of the prediction, in its own frame
  TracedMatch traced;
};

struct MatchExplanation {
  std::size_t node = 0;
  double time_s = 0.0;
  MatchProblem problem;               ///< as the mapper put it
  std::vector<ScanPoint> before;      ///< the scan of the node before,
  Pose2 before_pose;                  ///< and where it was put
  Pose2 kept;                         ///< where the mapper put this one: elsewhere where it searched more widely
  std::vector<ShiftedMatch> matches;  ///< the first without a shift: what the mapper found
};

/// The optimiser run once more on the finished graph's edges, from another beginning or with another edge.
struct Replay {
  bool from_odometry = false;  ///< begins at odometry's path; else at the path that matching alone gave
  bool true_closures = true;   ///< with the accepted closures,
  bool false_closure = false;  ///< with the false one,
  bool robust = true;          ///< and closures lose weight where they do not fit (as in the mapper)
  std::vector<double> cost_by_iteration;
  std::vector<std::vector<Pose2>> poses_by_iteration;
};

/// A closure made up for the lesson: that a far place is the first one.
struct FalseClosure {
  Edge edge;
  double distance_m = 0.0;  ///< between the two places in truth, as far as the map knows
  LoopCandidate tested;     ///< what the mapper's own tests say to it
};

struct GraphExplanation {
  std::vector<Pose2> odometry;                ///< of the nodes, from the first one's pose on
  std::vector<Pose2> tracked;                 ///< by matching alone
  std::vector<Pose2> adjusted;                ///< of the finished map
  std::vector<std::vector<ScanPoint>> scans;  ///< of the nodes
  std::vector<double> times_s;
  std::vector<Edge> edges;  ///< the chain, then the accepted closures
  std::vector<LoopCandidate> candidates;
  std::optional<FalseClosure> false_closure;
  std::vector<Replay> replays;
};

struct ExplainedEvent {
  CellEvent event;
  double time_s = 0.0;
  std::optional<RasterBeam>
      beam;  ///< the one that came nearest to the cell's middle; not of every event of a long story
};

struct CellExplanation {
  static constexpr std::int32_t kReach = 10;  ///< cells to each side that come as surroundings

  std::string what;  ///< "wall", "floor", "door" or "something that was not always there"
  Eigen::Vector2d middle_m = Eigen::Vector2d::Zero();
  std::vector<ExplainedEvent> events;
  double probability = 0.0;  ///< in the finished map
  /// Of the cells around, in the finished map: (2 * kReach + 1)^2 row by row from below; NaN for what was never seen.
  std::vector<float> around = {};
};

struct DriveExplanation {
  MatchExplanation match;
  GraphExplanation graph;
  std::vector<CellExplanation> cells;
  AdjustmentTrace walls;
  RasteriserOptions voting;  ///< with which the cells' events were counted
  Map map;
};

/// Maps the drive and explains how. Throws `PoorData` as build_map does.
DriveExplanation explain_drive(const Drive& drive, const ExplainOptions& options,
                               const std::function<void(const std::string& stage, double fraction)>& progress);

/// The graph's part alone: `edges` are the chain and the accepted closures.
std::vector<Replay> replay_optimiser(const std::vector<Pose2>& odometry, const std::vector<Pose2>& tracked,
                                     const std::vector<Edge>& edges, const std::optional<FalseClosure>& false_closure);

}  // namespace wainscot
