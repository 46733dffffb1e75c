#pragma once

// The robot's constants by strides of the lidar against the wheels' counts, without any prior: two metres a tick, the
// track width and the lidar's mounting.
//
// The turns give metres a tick over track width, linearly; the rest is a constrained least-squares problem in closed
// form: A. Censi, A. Franchi, L. Marchionni, G. Oriolo, "Simultaneous calibration of odometry and sensor parameters for
// mobile robots", IEEE T-RO 29(2), 2013. Both with Tukey's weights, so that slips have no say; uncertainties from the
// scatter of the strides.

#include <cstddef>
#include <vector>

#include <Eigen/Core>

#include "graph/motion/clock_fit.hpp"
#include "graph/motion/lidar_motion.hpp"
#include "graph/motion/wheel_series.hpp"

namespace wainscot {

/// What a stride says after the fit: the lidar against the wheels.
struct StrideResidual {
  std::size_t stride = 0;                             ///< index into the strides given
  double turn_rad = 0.0;                              ///< lidar's turn - wheels'
  Eigen::Vector2d shift_m = Eigen::Vector2d::Zero();  ///< lidar's end - wheels', robot's frame at the begin
  double chi_squared = 0.0;                           ///< of both, 3 degrees of freedom, by the strides' usual scatter
  double wheel_way_m = 0.0;                           ///< along the path, by the wheels
  double wheel_turn_rad = 0.0;
};

struct RobotFit {
  double left_m_per_tick = 0.0;  ///< signed as the counts are; in the lidar's metres
  double right_m_per_tick = 0.0;
  double track_width_m = 0.0;  ///< > 0
  /// Whether the lidar was seen to go anywhere but around the robot's middle. Where not, only the turns are known: the
  /// width is the one stated, metres a tick go with it, and of the mounting no more than the distance from the middle.
  bool drove = false;
  Pose2 mounting;  ///< of the lidar in the robot's frame; m, rad
  /// Of log left, log right, log width, in that order.
  Eigen::Matrix3d scale_covariance = Eigen::Matrix3d::Zero();
  Eigen::Matrix3d mounting_covariance = Eigen::Matrix3d::Zero();  ///< of x, y, heading
  std::size_t strides = 0;                                        ///< that were used; 0: nothing could be found
  double turned_rad = 0.0;  ///< by the lidar, in all; little of it leaves mounting and width unknown
  double way_m = 0.0;       ///< by the lidar, in all
  std::vector<StrideResidual> residuals;
};

/// `stated_width_m`: the track width where the strides tell none; > 0.
RobotFit fit_robot(const std::vector<LidarStride>& strides, const WheelSeries& wheels, const ClockFit& clock,
                   double stated_width_m);

}  // namespace wainscot
