#include "graph/known/place_track.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

#include "core/chi_squared.hpp"
#include "graph/track/match_surprise.hpp"
#include "scanmatch/icp.hpp"

namespace wainscot {
namespace {

// Chosen, as is the fourth power that goes with the first: a match counts in full from this overlap on, half at 0.55
// and a tenth at 0.37, so that a few returns on walls among many on other things do not move the robot.
constexpr double kClearOverlap = 0.65;
constexpr double kSureOverlap = 0.8;  // chosen: below it odometry may be what holds the match off the walls

}  // namespace

Eigen::Matrix3d PlaceTrack::covariance_at(const Tangent2& speed, const LidarDelay& delay) const {
  return covariance - with_delay * speed.transpose() - speed * with_delay.transpose() +
         delay.variance_s2 * speed * speed.transpose();
}

void advance(PlaceTrack& track, const Pose2& moved, const Eigen::Matrix3d& covariance, const Tangent2& speed_change,
             const LidarDelay& delay) {
  const Eigen::Matrix3d carry = adjoint(inverse(moved));
  const Eigen::Vector3d shared = carry * track.with_delay;
  track.pose = track.pose * moved;
  track.covariance = carry * track.covariance * carry.transpose() + covariance + shared * speed_change.transpose() +
                     speed_change * shared.transpose() + delay.variance_s2 * speed_change * speed_change.transpose();
  track.with_delay = shared + delay.variance_s2 * speed_change;
}

double match_to_map(PlaceTrack& track, const std::vector<ScanPoint>& points, const KnownMap& map,
                    const RangeNoise& noise) {
  constexpr double kDoubt = 100.0;  // odometry may have slipped: its standard deviation is ten times as large
  const Pose2 predicted = track.pose;
  const Eigen::Matrix3d covariance = track.covariance;
  Eigen::Matrix3d prior = covariance.inverse();
  IcpResult found = match_icp(points, map.lines(), noise, predicted, prior);
  if (found.overlap < kSureOverlap || chi_squared_of(found, predicted, covariance) > kPoseGate) {
    const IcpResult free = match_icp(points, map.lines(), noise, predicted, prior / kDoubt);
    if (free.overlap > found.overlap + 0.02) {
      found = free;
      prior /= kDoubt;
    }
  }
  constexpr double kLeastOverlap = 0.35;          // chosen: what would be left counts less than a tenth (kClearOverlap)
  if (found.overlap < kLeastOverlap) return 0.0;  // odometry goes on
  const double worth = std::pow(std::min(1.0, found.overlap / kClearOverlap), 4);
  track.pose = found.pose;
  track.covariance = (prior + worth * found.information).inverse();
  track.with_delay = track.covariance * covariance.ldlt().solve(track.with_delay);
  return chi_squared_of(found, predicted, covariance);
}

LidarDelay learned_delay(const LidarDelay& delay, const PlaceTrack& before, const PlaceTrack& after) {
  const Eigen::Vector3d gain = before.covariance.ldlt().solve(before.with_delay);
  Pose2 shift = between(before.pose, after.pose);
  shift.heading_rad = wrap_angle(shift.heading_rad);
  return {delay.s + gain.dot(log(shift)), delay.variance_s2 - gain.dot((before.covariance - after.covariance) * gain)};
}

void weigh(PlaceTrack& track, const WeighedView& view, std::size_t most) {
  track.views.push_back(view);
  track.fit += view.fit;
  track.news += view.news;
  if (track.views.size() > most) {
    track.fit -= track.views.front().fit;
    track.news -= track.views.front().news;
    track.views.pop_front();
  }
}

}  // namespace wainscot
