#include "graph/known/surroundings.hpp"

#include <algorithm>
#include <cstddef>
#include <limits>

#include <Eigen/Dense>

#include "graph/track/match_surprise.hpp"
#include "scanmatch/icp.hpp"

namespace wainscot {

Surroundings::Surroundings(const RangeNoise& noise, double way_m) : noise_(noise), way_m_(way_m) {}

double Surroundings::add(const std::vector<ScanPoint>& points, const Pose2& moved, const Eigen::Matrix3d& covariance,
                         bool keep) {
  constexpr double kWeakOverlap = 0.45;     // chosen: below it the scan shows mostly what is new, and odometry goes on
  constexpr double kStrangeOverlap = 0.35;  // chosen: a doorway shows more of the room before than this
  // A robot at rest holds the match back so much that the motion of a hand hardly shows. So the match is
  // tried loosely as well unless it lies where odometry says: chi squared of three exceeds 1 in 80 % of all motions.
  constexpr double kHeldBack = 1.0;
  constexpr double kOverlapOfWalls = 0.8;  // chosen: below it odometry may be what holds the match off the walls
  constexpr double kLoosely = 100.0;       // odometry's standard deviation is ten times as large, as in match_to_map()
  // A robot that turns on the spot sees the same again and again. As LocatorOptions::weighed_views; chosen.
  constexpr std::size_t kMostViews = 24;
  double surprise = 0.0;
  driven_m_ += moved.translation().norm();
  const Pose2 predicted = pose_ * moved;
  pose_ = predicted;
  if (!views_.empty()) {
    const Eigen::Matrix3d prior = covariance.inverse();
    IcpResult found = match_icp(points, lines_, noise_, predicted, prior);
    if (found.overlap < kOverlapOfWalls || chi_squared_of(found, predicted, covariance) > kHeldBack) {
      const IcpResult free = match_icp(points, lines_, noise_, predicted, prior / kLoosely);
      if (free.overlap >= found.overlap) found = free;
    }
    surprise = found.overlap >= kStrangeOverlap ? chi_squared_of(found, predicted, covariance)
                                                : std::numeric_limits<double>::infinity();
    if (found.overlap >= kWeakOverlap) pose_ = found.pose;
  }
  if (!keep && !views_.empty()) return surprise;
  views_.push_back({pose_, points});
  ways_m_.push_back(driven_m_);
  auto old = std::lower_bound(ways_m_.begin(), ways_m_.end(), driven_m_ - way_m_) - ways_m_.begin();
  old = std::max(old, static_cast<std::ptrdiff_t>(views_.size()) - static_cast<std::ptrdiff_t>(kMostViews));
  views_.erase(views_.begin(), views_.begin() + old);
  ways_m_.erase(ways_m_.begin(), ways_m_.begin() + old);
  add_scan(lines_, points, pose_, noise_, next_node_++);
  lines_.forget(next_node_ - static_cast<int>(views_.size()));
  return surprise;
}

std::vector<MapView> Surroundings::views_from_here() const {
  const Pose2 back = inverse(pose_);
  std::vector<MapView> result = views_;
  for (MapView& view : result) view.pose = back * view.pose;
  return result;
}

LineMap Surroundings::walls_from_here() const {
  LineMap walls;
  int node = 0;
  for (const MapView& view : views_from_here()) add_scan(walls, view.points, view.pose, noise_, node++);
  return walls;
}

}  // namespace wainscot
