#include "graph/track/judged_match.hpp"

#include <optional>

#include <Eigen/Dense>

#include "core/chi_squared.hpp"
#include "graph/track/likely_place.hpp"
#include "graph/track/match_surprise.hpp"

namespace wainscot {

JudgedMatch judged_match(const Keyframe& scan, const PredictedStep& step, const LocalWalls& walls,
                         const OdometryPath& path, const MatchCircumstances& circumstances,
                         const TrackingOptions& options, Rejoining& rejoining) {
  IcpOptions icp;
  icp.oldest_node = walls.oldest_node;
  JudgedMatch match;
  IcpResult& found = match.found;
  found = match_icp(scan.points, walls.lines, walls.noise, step.predicted, step.covariance.inverse(), icp);
  match.chi_squared = chi_squared_of(found, step.predicted, step.covariance);
  if (circumstances.search && (found.overlap < options.sure_overlap || match.chi_squared > kPoseGate)) {
    found = most_likely_place(scan.points, walls, step, icp, found);
    match.chi_squared = chi_squared_of(found, step.predicted, step.covariance);
  }
  if (!circumstances.unknown) {
    match.trusted = is_possible(found, scan.points, step, walls, 0.5 * options.weak_overlap);
    return match;
  }
  std::optional<TimedPose> guessed_from;
  if (step.guessed) guessed_from = {step.from_s, walls.poses.back()};
  match.trusted = rejoining.accepts(scan.time_s, scan.points, found, walls, path, guessed_from);
  return match;
}

}  // namespace wainscot
