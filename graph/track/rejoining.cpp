#include "graph/track/rejoining.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

#include "graph/track/likely_place.hpp"
#include "graph/track/search_samples.hpp"

namespace wainscot {
namespace {

/// Whether a scan's place is where odometry leads from an earlier one.
bool agrees(const TimedPose& earlier, double time_s, const Pose2& pose, const OdometryPath& path) {
  // What odometry drifts in a few scans; rooms that look alike lie further apart.
  constexpr double kAgreeM = 0.3;
  constexpr double kAgreeRad = 0.15;
  const Pose2 onward = earlier.pose * between(path.pose_at(earlier.time_s), path.pose_at(time_s));
  const Pose2 error = between(onward, pose);
  return error.translation().norm() < kAgreeM && std::abs(wrap_angle(error.heading_rad)) < kAgreeRad;
}

}  // namespace

bool Rejoining::accepts(double time_s, const std::vector<ScanPoint>& points, const IcpResult& found,
                        const LocalWalls& walls, const OdometryPath& path,
                        const std::optional<TimedPose>& guessed_from) {
  // 3 degrees, chosen by hand: walls 9 m away are laid half a metre off by more.
  constexpr double kHeadingSdRad = 0.05;
  // Along a corridor the way is open, but not any way: without a bound the heading would seem open as well.
  const Eigen::Matrix3d reach = Eigen::Vector3d(1.0, 1.0, 0.1).asDiagonal();
  if (std::sqrt((found.information + reach).inverse()(2, 2)) > kHeadingSdRad) return false;
  const SeenSpace space = walls.seen(found.pose.translation(), search_radius_m(points) + 1.0);
  const WallEvidence evidence = wall_evidence(points, found.pose, walls, space);
  // Along a wall a scan fits in many places: only one that the walls hold is believed by itself.
  const bool free_is_free = evidence.in_free < 0.05 * evidence.on_wall;
  if (evidence.on_wall > 0.6 * evidence.all && free_is_free && !holds_loosely(found)) return true;
  if (evidence.on_wall < 0.25 * evidence.all || evidence.in_free > 0.5 * evidence.on_wall) return false;
  if (guessed_from && free_is_free && agrees(*guessed_from, time_s, found.pose, path)) return true;
  // Either people stood around a robot that was turned, or it is in another room that looks alike from here.
  const std::ptrdiff_t others = evidence.is_contradicted() ? 2 : 1;
  const auto claimed = std::count_if(claims_.begin(), claims_.end(),
                                     [&](const TimedPose& claim) { return agrees(claim, time_s, found.pose, path); });
  if (claimed >= others) return true;
  claims_.push_back({time_s, found.pose});
  return false;
}

}  // namespace wainscot
