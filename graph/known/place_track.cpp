#include "graph/known/place_track.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

#include "core/chi_squared.hpp"
#include "graph/known/wall_errors.hpp"
#include "graph/track/match_surprise.hpp"
#include "scanmatch/icp.hpp"

namespace wainscot {
namespace {

// Chosen, as is the fourth power that goes with the first: a match counts in full from this overlap on, half at 0.55
// and a tenth at 0.37, so that a few returns on walls among many on other things do not move the robot.
constexpr double kClearOverlap = 0.65;
constexpr double kSureOverlap = 0.8;  // chosen: below it odometry may be what holds the match off the walls

/// A running mean, since one scan meets too few walls to tell their errors well.
void learn_wall_errors(PlaceTrack& track, const std::vector<ScanPoint>& points, const KnownMap& map,
                       const RangeNoise& noise) {
  constexpr double kQuickly = 0.1;  // ten scans, a second, in which a robot drives past a piece of wall; chosen
  const Eigen::Matrix3d now = wall_errors(points, map.lines(), noise, track.pose);
  track.of_walls += (track.of_walls.isZero() ? 1.0 : kQuickly) * (now - track.of_walls);
}

/// Chi squared of the walls' word against the prediction, whose information is `prior`. A prediction that is sure holds
/// the match back: of what it should move, the innovation nu, it moves d = P (P + R)^-1 nu, with P the covariance of
/// the prediction and R the walls'. In the axes in which P is 1 and the walls' information m, the variance of d is
/// m / (1 + m).
double chi_squared_of_walls(const IcpResult& found, const Pose2& predicted, const Eigen::Matrix3d& prior) {
  constexpr double kTold = 0.003;  // chosen: below it d, 5 % of the prediction's error, is near the match's own steps
  const Eigen::Matrix3d root = prior.llt().matrixL();
  const Eigen::Matrix3d back = root.inverse();
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> axes(back * found.information * back.transpose());
  Pose2 moved = between(predicted, found.pose);
  moved.heading_rad = wrap_angle(moved.heading_rad);
  const Eigen::Vector3d d = axes.eigenvectors().transpose() * (root.transpose() * log(moved));
  double sum = 0.0;
  for (int i = 0; i < 3; ++i) {
    const double told = axes.eigenvalues()[i];
    if (told > kTold) sum += d[i] * d[i] * (1.0 + told) / told;
  }
  return sum;
}

}  // namespace

Eigen::Matrix3d PlaceTrack::covariance_at(const Tangent2& speed, const LidarDelay& delay) const {
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> walls(of_walls);
  const Eigen::Matrix3d wall_part =
      walls.eigenvectors() * walls.eigenvalues().cwiseMax(0.0).asDiagonal() * walls.eigenvectors().transpose();
  return covariance + wall_part - with_delay * speed.transpose() - speed * with_delay.transpose() +
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
  track.of_walls = carry * track.of_walls * carry.transpose();
}

MapMatch match_to_map(PlaceTrack& track, const std::vector<ScanPoint>& points, const KnownMap& map,
                      const RangeNoise& noise) {
  constexpr double kDoubt = 100.0;  // odometry may have slipped: its standard deviation is ten times as large
  const Pose2 predicted = track.pose;
  const Eigen::Matrix3d covariance = track.covariance;
  Eigen::Matrix3d prior = covariance.inverse();
  IcpResult found = match_icp(points, map.lines(), noise, predicted, prior);
  MapMatch match;
  match.agrees = chi_squared_of_walls(found, predicted, prior) <= kPoseGate;
  if (found.overlap < kSureOverlap || chi_squared_of(found, predicted, covariance) > kPoseGate) {
    const IcpResult free = match_icp(points, map.lines(), noise, predicted, prior / kDoubt);
    if (free.overlap > found.overlap + 0.02) {
      match.aside = between(found.pose, free.pose);
      match.aside.heading_rad = wrap_angle(match.aside.heading_rad);
      found = free;
      prior /= kDoubt;
      match.agrees = false;
    }
  }
  constexpr double kLeastOverlap = 0.35;         // chosen: what would be left counts less than a tenth (kClearOverlap)
  if (found.overlap < kLeastOverlap) return {};  // odometry goes on
  const double worth = std::pow(std::min(1.0, found.overlap / kClearOverlap), 4);
  track.pose = found.pose;
  track.covariance = (prior + worth * found.information).inverse();
  track.with_delay = track.covariance * covariance.ldlt().solve(track.with_delay);
  learn_wall_errors(track, points, map, noise);
  match.chi_squared = chi_squared_of(found, predicted, covariance);
  return match;
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
