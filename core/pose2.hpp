#pragma once

// The group SE(2) of rigid motions of the plane.
//
// Axes follow ISO 8855: x forward, y left, headings counter-clockwise positive. A `Pose2` named `a_b` is the pose of
// frame b in frame a, so `a_b * b_c == a_c` and `a_b * point_in_b == point_in_a`.
//
// Source of the formulas: T. D. Barfoot, State Estimation for Robotics, Cambridge University Press, 2017, chapter 7
// (specialised to the plane); E. Eade, "Lie groups for 2D and 3D transformations", 2017, section 4.

#include <Eigen/Core>

namespace wainscot {

/// Brings an angle to (-pi, pi]. Any finite angle is valid.
double wrap_angle(double angle_rad);

struct Pose2 {
  double x_m = 0.0;
  double y_m = 0.0;
  double heading_rad = 0.0;  ///< any finite angle; kept as composed, so that whole turns count

  Eigen::Vector2d translation() const { return {x_m, y_m}; }
  Eigen::Matrix2d rotation() const;
};

/// Group composition; headings add without wrapping.
Pose2 operator*(const Pose2& a_b, const Pose2& b_c);

/// Maps a point from frame b to frame a, metres.
Eigen::Vector2d operator*(const Pose2& a_b, const Eigen::Vector2d& point_in_b);

Pose2 inverse(const Pose2& a_b);

/// The relative pose `inverse(a) * b`.
Pose2 between(const Pose2& a, const Pose2& b);

/// A tangent vector (x_m, y_m, heading_rad): a velocity times a time, in the moving frame.
using Tangent2 = Eigen::Vector3d;

/// The motion along a circular arc: constant velocity `tangent` in the moving frame for one unit of time.
Pose2 exp(const Tangent2& tangent);

/// The shortest arc to a pose: inverse of `exp` for turns within (-pi, pi]. Headings may be any number of turns apart,
/// since odometry counts turns on and a scan matcher cannot know them.
Tangent2 log(const Pose2& pose);

/// Adjoint of the group: exp(adjoint(p) * t) == p * exp(t) * inverse(p).
Eigen::Matrix3d adjoint(const Pose2& pose);

/// A pose's covariance, in its tangent space, in that of the pose `relative` further on.
Eigen::Matrix3d carried(const Eigen::Matrix3d& covariance, const Pose2& relative);

/// Inverse of the right Jacobian: log(exp(t) * exp(d)) = t + right_jacobian_inverse(t) * d + O(d^2). |t.z()| < 2 pi.
Eigen::Matrix3d right_jacobian_inverse(const Tangent2& tangent);

/// Pose at fraction `u` of the way from a to b along one circular arc; `u` outside [0, 1] extrapolates.
Pose2 interpolate(const Pose2& a, const Pose2& b, double u);

}  // namespace wainscot
