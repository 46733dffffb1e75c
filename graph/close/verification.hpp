#pragma once

// Is a later place the same as an earlier one, and where exactly? Geometry decides: a search over the whole uncertainty
// of the prediction, ICP, then two tests of meaning. Enough of the later walls must lie on the earlier ones (overlap),
// and hardly any may stand where the earlier place was seen to be free (contradiction). When in doubt, no.

#include <string>

#include <Eigen/Core>

#include "core/chi_squared.hpp"
#include "graph/close/place.hpp"
#include "graph/pose_graph.hpp"

namespace wainscot {

struct VerificationOptions {
  double min_overlap = 0.70;        ///< of the later place's returns where the earlier place was seen
  double max_contradiction = 0.12;  ///< people and moved chairs are less, another room is more
  double min_common = 0.40;         ///< returns where the earlier place was seen / all returns
  double pair_distance_m = 0.08;    ///< a return this near to a wall with its normal lies on it
  /// Gate of the found against the predicted pose.
  double max_chi_squared = kPoseGate;
  /// The walls alone must settle the place. False where a person vouches for it, who knows what the walls leave open.
  bool settled_by_walls = true;
  double direct_sd_m = 0.06;       ///< a prediction better than this (and direct_sd_rad) needs no search before ICP
  double direct_sd_rad = 0.02;     ///< 6 cm at 3 m: what ICP converges from
  double widest_search_m = 3.0;    ///< a limit of time, as the next: beyond, signatures propose
  double widest_search_rad = 0.7;  ///< 40 degrees
  /// Where the prediction says little, another place that looks alike is likelier than a wall that was moved: then
  /// more must agree.
  double far_min_overlap = 0.75;
  double far_max_contradiction = 0.07;  ///< by hand: twice as much and look-alike rooms pass
  double far_min_common = 0.45;         ///< by hand: little more than near by
  double far_search_m = 2.0;  ///< places whose signatures are alike are seen from within this distance of each other
};

/// What the walls say, whatever the prediction.
enum class Fit {
  fits,
  contradicts,  ///< both places saw the same floor, but not the same walls
  open,         ///< hardly any floor was seen from both, the walls leave a direction open, or nothing was found
};

struct Verified {
  LoopCandidate candidate;
  Fit fit = Fit::open;
  bool outside_drift = false;                             ///< the walls fit, but where the drift cannot have led
  bool hinted = false;                                    ///< the person who drove vouches for it
  std::string marker;                                     ///< the marker whose number proposed it; empty: none
  bool by_marker_alone = false;                           ///< the walls neither confirm the marker nor contradict it
  Eigen::Matrix3d information = Eigen::Matrix3d::Zero();  ///< of candidate.found, tangent space of the later node
};

/// `predicted`: pose of the later place's node in the earlier one's frame; `covariance`: its, tangent space of the
/// later. An accepted candidate still has to agree with the others (graph/close/consistency).
Verified verify(const Place& earlier, const Place& later, const Pose2& predicted, const Eigen::Matrix3d& covariance,
                const RangeNoise& noise, const VerificationOptions& options = {});

/// The same where the prediction says next to nothing: searches the earlier place in all headings in which the walls of
/// both are parallel. Stricter, see VerificationOptions. What is accepted may still be another place that looks alike.
Verified verify_anywhere(const Place& earlier, const Place& later, const Pose2& predicted,
                         const Eigen::Matrix3d& covariance, const RangeNoise& noise,
                         const VerificationOptions& options = {});

}  // namespace wainscot
