#pragma once

// What poses err by since the lidar's clock is not known exactly.
//
// A node's pose is where the robot was when its scan was taken. At what time of the wheels' clock that was is known as
// well as the lidar's clock is; as the pose at the time that is told it errs by the way driven between the two. No
// residual shows that.

#include <cstddef>
#include <vector>

#include <Eigen/Core>

#include "core/drive.hpp"
#include "core/odometry.hpp"
#include "graph/adjust/joint_adjustment.hpp"

namespace wainscot {

class ClockErrors {
 public:
  /// Of the nodes of `adjusted`, with its constants' covariance.
  ClockErrors(const Drive& drive, const std::vector<OdometryStep>& steps, const JointResult& adjusted);

  /// Of node `to` in the frame of node `from`, tangent space of the former (m, rad).
  Eigen::Matrix3d covariance(std::size_t from, std::size_t to) const;

 private:
  std::vector<Pose2> poses_;
  std::vector<Eigen::Matrix<double, 3, 2>> by_clock_;  ///< of each node, by the clock's offset and rate
  Eigen::Matrix2d clock_covariance_;
};

}  // namespace wainscot
