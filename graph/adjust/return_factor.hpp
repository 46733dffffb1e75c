#pragma once

// One return as a measurement: its distance from its wall piece, and how that changes with the node's pose, the piece
// and the lidar's constants.

#include <Eigen/Core>

#include "core/pose2.hpp"
#include "graph/constants.hpp"
#include "scanmatch/icp.hpp"
#include "scanmatch/line_map.hpp"
#include "scanmatch/motion_correction.hpp"

namespace wainscot {

/// What is known of walls before they are measured.
struct WallModel {
  double face_bias_sd_m =
      0.005;  ///< range bias of a surface: bright and dark walls differ by millimetres; to begin with
  double piece_bias_sd_m = 0.002;  ///< by how much a piece differs from the face that it is part of
  double robust_ratio = 2.5;       ///< of the Cauchy weight: residual / its standard deviation
};

constexpr int kLidarConstants = kSweepScale + 1;  ///< those that act on every return come first among the constants
using LidarVector = Eigen::Matrix<double, kLidarConstants, 1>;
using LidarMatrix = Eigen::Matrix<double, kLidarConstants, kLidarConstants>;

/// From where a return was measured, and how well.
struct MeasuringNode {
  Pose2 pose;
  Eigen::Matrix2d to_robot;  ///< map frame to robot frame
  Tangent2 velocity;         ///< during the sweep, robot frame
  Eigen::Vector2d lidar_m;   ///< the lidar's place on the robot
  RangeNoise noise;
};

struct ReturnFactor {
  Eigen::Vector3d by_pose;   ///< derivative of the distance by a motion of the node in its own frame (m, m, rad)
  Eigen::Vector3d by_piece;  ///< by the piece's offset (m), slope and range bias (m)
  LidarVector by_lidar;      ///< by the lidar's constants
  double across_m = 0.0;     ///< distance from the piece's anchor: the residual where offset, slope and bias are 0
  double residual_m = 0.0;   ///< distance from the piece as fitted, without a bias
  double robust = 1.0;       ///< Cauchy weight of the residual is 1 / this
  double weight = 0.0;       ///< 1 / (variance * robust), 1/m^2
};

/// `p` has a normal; `line`: its piece, fitted.
ReturnFactor return_factor(const ScanPoint& p, const Line& line, const MeasuringNode& node, double robust_ratio);

/// Distance of a return from its piece as fitted, the piece's range bias taken off, m. `rotation`: that of `pose`.
double distance_without_bias_m(const ScanPoint& p, const Line& line, const Pose2& pose,
                               const Eigen::Matrix2d& rotation);

}  // namespace wainscot
