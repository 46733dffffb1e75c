#pragma once

// Least-squares optimisation of a pose graph with Ceres: sparse normal Cholesky on one thread, so that the bytes of the
// result do not depend on the machine's load; analytic Jacobians; the first node fixed.

#include <vector>

#include "graph/pose_graph.hpp"

namespace wainscot {

struct OptimiserOptions {
  int max_iterations = 50;  ///< a limit of time: function_tolerance ends them before
  /// Cauchy loss on closures: one whose residual is this many standard deviations counts half. 0: no loss.
  double closure_robust_ratio = 3.0;
  double function_tolerance = 1e-8;  ///< relative decrease of the cost that ends the iterations
  bool keep_poses = false;           ///< for explaining: fill OptimiserSummary::poses_by_iteration
};

struct OptimiserSummary {
  bool usable = true;  ///< false: the problem could not be evaluated or solved, and the graph is as it was
  std::vector<double> cost_by_iteration;  ///< half of the sum of squared whitened residuals, from the start on
  /// Of all nodes, one row for each cost; empty unless it was asked for.
  std::vector<std::vector<Pose2>> poses_by_iteration;
};

/// Moves graph.nodes to the least cost; direction and offset of each of graph.lines are unknowns beside them, and a
/// distance from a line counts by a Cauchy loss as a closure does. Nodes that no edge reaches stay. The edges'
/// information matrices must be positive semidefinite. Where a pose or an edge is not finite nothing is moved, see
/// OptimiserSummary::usable.
OptimiserSummary optimise(PoseGraph& graph, const OptimiserOptions& options = {});

}  // namespace wainscot
