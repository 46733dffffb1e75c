#include "core/pose2.hpp"

#include <cmath>
#include <numbers>

#include <Eigen/Dense>

namespace wainscot {
namespace {

/// sin(a)/a and (1 - cos(a))/a with their series near 0, where the quotients lose digits.
struct ArcFactors {
  double along;
  double across;
};

ArcFactors arc_factors(double angle_rad) {
  if (std::abs(angle_rad) < 1e-4) {
    const double squared = angle_rad * angle_rad;
    return {1.0 - squared / 6.0, angle_rad * (0.5 - squared / 24.0)};
  }
  // 1 - cos(a) as 2 sin^2(a/2) keeps its digits for small angles.
  const double half_sine = std::sin(0.5 * angle_rad);
  return {std::sin(angle_rad) / angle_rad, 2.0 * half_sine * half_sine / angle_rad};
}

}  // namespace

double wrap_angle(double angle_rad) {
  const double wrapped = std::remainder(angle_rad, 2.0 * std::numbers::pi);
  return wrapped <= -std::numbers::pi ? std::numbers::pi : wrapped;
}

Eigen::Matrix2d Pose2::rotation() const {
  const double c = std::cos(heading_rad);
  const double s = std::sin(heading_rad);
  return (Eigen::Matrix2d() << c, -s, s, c).finished();
}

Pose2 operator*(const Pose2& a_b, const Pose2& b_c) {
  const Eigen::Vector2d position = a_b * b_c.translation();
  return {position.x(), position.y(), a_b.heading_rad + b_c.heading_rad};
}

Eigen::Vector2d operator*(const Pose2& a_b, const Eigen::Vector2d& point_in_b) {
  const double c = std::cos(a_b.heading_rad);
  const double s = std::sin(a_b.heading_rad);
  return {a_b.x_m + c * point_in_b.x() - s * point_in_b.y(), a_b.y_m + s * point_in_b.x() + c * point_in_b.y()};
}

Pose2 inverse(const Pose2& a_b) {
  const Eigen::Vector2d position = -(a_b.rotation().transpose() * a_b.translation());
  return {position.x(), position.y(), -a_b.heading_rad};
}

Pose2 between(const Pose2& a, const Pose2& b) {
  const Eigen::Vector2d position = a.rotation().transpose() * (b.translation() - a.translation());
  return {position.x(), position.y(), b.heading_rad - a.heading_rad};
}

Pose2 exp(const Tangent2& tangent) {
  const ArcFactors f = arc_factors(tangent.z());
  return {f.along * tangent.x() - f.across * tangent.y(), f.across * tangent.x() + f.along * tangent.y(), tangent.z()};
}

Tangent2 log(const Pose2& pose) {
  const double angle = wrap_angle(pose.heading_rad);
  const ArcFactors f = arc_factors(angle);
  const double determinant = f.along * f.along + f.across * f.across;
  return {(f.along * pose.x_m + f.across * pose.y_m) / determinant,
          (f.along * pose.y_m - f.across * pose.x_m) / determinant, angle};
}

Eigen::Matrix3d adjoint(const Pose2& pose) {
  Eigen::Matrix3d result = Eigen::Matrix3d::Identity();
  result.topLeftCorner<2, 2>() = pose.rotation();
  result(0, 2) = pose.y_m;
  result(1, 2) = -pose.x_m;
  return result;
}

Eigen::Matrix3d carried(const Eigen::Matrix3d& covariance, const Pose2& relative) {
  const Eigen::Matrix3d carry = adjoint(inverse(relative));
  return carry * covariance * carry.transpose();
}

Eigen::Matrix3d right_jacobian_inverse(const Tangent2& tangent) {
  const double angle = tangent.z();
  Eigen::Matrix3d bracket;
  bracket << 0.0, -angle, tangent.y(), angle, 0.0, -tangent.x(), 0.0, 0.0, 0.0;
  // 1/a^2 - (1 + cos a) / (2 a sin a), by its series near 0; written with the half angle it is regular up to 2 pi.
  const double half = 0.5 * angle;
  const double factor =
      std::abs(angle) < 1e-3 ? 1.0 / 12.0 + angle * angle / 720.0 : (1.0 - half / std::tan(half)) / (angle * angle);
  return Eigen::Matrix3d::Identity() + 0.5 * bracket + factor * bracket * bracket;
}

Pose2 interpolate(const Pose2& a, const Pose2& b, double u) { return a * exp(u * log(between(a, b))); }

}  // namespace wainscot
