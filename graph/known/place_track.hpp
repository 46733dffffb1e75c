#pragma once

// One place in a known house where a robot may be, followed scan by scan: its pose, and how what was seen lately fits
// the map there.
//
// The delay of the lidar's clock against odometry's is common to all places; each has its covariance with it.

#include <cstddef>
#include <deque>
#include <vector>

#include <Eigen/Core>

#include "core/pose2.hpp"
#include "graph/known/known_map.hpp"
#include "scanmatch/motion_correction.hpp"
#include "scanmatch/normals.hpp"

namespace wainscot {

/// Of the lidar's clock against odometry's.
struct LidarDelay {
  double s = 0.0;  ///< to be added to the times of the scans
  double variance_s2 = 0.0;
};

/// What one look about showed.
struct WeighedView {
  MapFit fit;
  double news = 0.0;  ///< 0..1: how much of it was new
};

struct PlaceTrack {
  Pose2 pose;                                            ///< of the robot, map frame
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();  ///< tangent space of `pose`, the delay as it is
  Eigen::Vector3d with_delay = Eigen::Vector3d::Zero();  ///< covariance of `pose` and the delay
  /// What errors of the map's walls do to `pose`, alike in all scans near by and so not in `covariance`: a running mean
  /// of wall_errors().
  Eigen::Matrix3d of_walls = Eigen::Matrix3d::Zero();
  std::deque<WeighedView> views;
  MapFit fit;         ///< of the views together
  double news = 0.0;  ///< their number, each counted by what it shows that is new

  /// Of the pose at the time that an answer is of, which is as uncertain as the delay, where the robot moves with
  /// `speed` (m/s, rad/s, its frame), and as the walls.
  Eigen::Matrix3d covariance_at(const Tangent2& speed, const LidarDelay& delay) const;
};

/// After a motion whose covariance is in the tangent space of the new pose. `speed_change`: of the robot between both
/// ends, in its frame at the new one: a delay shifts both ends of the motion along the robot's way, so that what it
/// does to the pose is what the speed changed in between.
void advance(PlaceTrack& track, const Pose2& moved, const Eigen::Matrix3d& covariance, const Tangent2& speed_change,
             const LidarDelay& delay);

/// How a scan that was matched to the map agrees with odometry.
struct MapMatch {
  double chi_squared = 0.0;  ///< of how far odometry let the match move the track; 0 where the map says too little
  /// What the walls alone say lies where odometry says, within what both state: not so where a hand is moving a robot
  /// whose wheels stand, and where odometry had to be left out.
  bool agrees = true;
  /// How far the match lies from where odometry would have held it: nowhere but where odometry had to be left out.
  /// Wheels slipped, or what the robot goes by was moved, and one scan does not say which.
  Pose2 aside;
};

/// Matches the scan to the map around the track and moves the track there.
MapMatch match_to_map(PlaceTrack& track, const std::vector<ScanPoint>& points, const KnownMap& map,
                      const RangeNoise& noise);

/// What a match shows of the delay: the regression of the delay on the pose. `before`, `after`: the same track.
LidarDelay learned_delay(const LidarDelay& delay, const PlaceTrack& before, const PlaceTrack& after);

/// Counts a view, and no longer those before the last `most`.
void weigh(PlaceTrack& track, const WeighedView& view, std::size_t most);

}  // namespace wainscot
