#pragma once

// What a robot has seen around itself on its last metres, whatever house it is in: scans matched against each other, in
// a frame of their own.

#include <vector>

#include <Eigen/Core>

#include "core/pose2.hpp"
#include "graph/known/known_map.hpp"
#include "scanmatch/line_map.hpp"
#include "scanmatch/motion_correction.hpp"
#include "scanmatch/normals.hpp"

namespace wainscot {

class Surroundings {
 public:
  /// `way_m`: how far back along the way scans are kept.
  Surroundings(const RangeNoise& noise, double way_m);

  /// The next scan, after a motion whose covariance is in the tangent space of the new pose. `keep`: it is worth
  /// keeping, since the robot moved. Returns chi squared of how the scans moved against that motion; infinity where the
  /// scan does not fit what was seen before. Beyond kNoNoise the robot is being carried.
  double add(const std::vector<ScanPoint>& points, const Pose2& moved, const Eigen::Matrix3d& covariance, bool keep);

  bool empty() const { return views_.empty(); }
  /// Poses are of the robot then, in the frame of the robot now.
  std::vector<MapView> views_from_here() const;
  /// The walls in the frame of the robot now.
  LineMap walls_from_here() const;

 private:
  RangeNoise noise_;
  double way_m_;
  Pose2 pose_;  ///< of the robot now
  double driven_m_ = 0.0;
  std::vector<MapView> views_;
  std::vector<double> ways_m_;  ///< driven until each view
  LineMap lines_;
  int next_node_ = 0;
};

}  // namespace wainscot
