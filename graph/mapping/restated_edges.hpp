#pragma once

// What matches and closures measured, said anew once the adjustment knows more than they did.

#include "core/pose2.hpp"
#include "graph/pose_graph.hpp"

namespace wainscot {

/// Edges of matches and closures with
/// - their relative poses as the refined mounting of the lidar would have given them: scans were laid on scans, and
///   where the robot stood by that was concluded from the mounting (`stated`, `refined`: of the lidar on the robot);
/// - their uncertainty as large as their residuals are: for each of the two kinds a factor of the variance of
///   positions, one of that of headings and one of both together, from the squares of all residuals against the
///   adjusted poses, which know far more than one match; squares are bounded
///   (graph/bounded_squares.hpp), so that a closure that was found wrong does not make all others look worse. Kinds of
///   fewer than ten edges stay as they are.
/// `graph`: its nodes have the adjusted poses.
void restate_edges(const Pose2& stated, const Pose2& refined, PoseGraph& graph);

}  // namespace wainscot
