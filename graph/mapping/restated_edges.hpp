#pragma once

// What matches and closures measured, said anew once the adjustment knows more than they did.

#include <cstddef>
#include <vector>

#include <Eigen/Core>

#include "core/pose2.hpp"
#include "graph/pose_graph.hpp"

namespace wainscot {

/// How sure the adjustment is of what an edge measured.
struct AdjustedPair {
  std::size_t edge = 0;
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();  ///< tangent space of the later node
};

/// Edges of matches and closures with
/// - their relative poses as the refined mounting of the lidar would have given them: scans were laid on scans, and
///   where the robot stood by that was concluded from the mounting (`stated`, `refined`: of the lidar on the robot);
/// - their uncertainty as large as their residuals are: for each of the two kinds a factor of the variance of
///   positions, one of that of headings and one of both together, from the squares of all residuals against the
///   adjusted poses, which know more than one match; squares are bounded
///   (graph/bounded_squares.hpp), so that a closure that was found wrong does not make all others look worse. To that
///   comes how unsure the adjusted poses themselves are (`adjusted`: of some edges). Kinds of fewer than ten edges stay
///   as they are.
/// `graph`: its nodes have the adjusted poses.
void restate_edges(const Pose2& stated, const Pose2& refined, const std::vector<AdjustedPair>& adjusted,
                   PoseGraph& graph);

/// Edges of matches and of closures, of each kind evenly from the first to the last, 24 at the most of each.
std::vector<std::size_t> sampled_edges(const PoseGraph& graph);

}  // namespace wainscot
