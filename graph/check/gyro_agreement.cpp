#include "graph/check/gyro_agreement.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

namespace wainscot {
namespace {

/// As robot.yaml's sign and scale have it, no bias.
double turn_by_gyro(const std::vector<YawRate>& gyro, double scale, double from_s, double to_s) {
  double turn = 0.0;
  const auto before = [](const YawRate& row, double t) { return row.time_s < t; };
  for (auto row = std::lower_bound(gyro.begin(), gyro.end(), from_s, before);
       row != gyro.end() && row + 1 != gyro.end() && row->time_s < to_s; ++row) {
    turn += row->yaw_rate_rad_s * ((row + 1)->time_s - row->time_s);
  }
  return turn * scale;
}

}  // namespace

std::optional<GyroAgreement> gyro_agreement(const std::vector<LidarStride>& strides, const Drive& drive,
                                            const ClockFit& clock) {
  constexpr double kClear = 0.8;  // correlation of the two
  if (drive.gyro.size() < 2) return std::nullopt;
  // lidar's turn = factor * gyro's turn + drift * time
  Eigen::Matrix2d normal = Eigen::Matrix2d::Zero();
  Eigen::Vector2d right = Eigen::Vector2d::Zero();
  double turned = 0.0;
  GyroAgreement found;
  for (const LidarStride& stride : strides) {
    const double from_s = clock.wheel_time_s(stride.begin_s);
    const double to_s = clock.wheel_time_s(stride.end_s);
    if (!stride.sure || from_s < drive.gyro.front().time_s || to_s > drive.gyro.back().time_s) continue;
    const double scale = drive.robot.gyro.sign * drive.robot.gyro.scale;
    const Eigen::Vector2d row(turn_by_gyro(drive.gyro, scale, from_s, to_s), to_s - from_s);
    normal += row * row.transpose();
    right += stride.motion.heading_rad * row;
    turned += stride.motion.heading_rad * stride.motion.heading_rad;
    ++found.strides;
  }
  const double left_of_gyro = normal(0, 0) - normal(0, 1) * normal(0, 1) / normal(1, 1);  // beside its bias
  if (found.strides < 3 || !(left_of_gyro > 0.0)) return std::nullopt;
  const double cross = right(0) - normal(0, 1) * right(1) / normal(1, 1);
  const double left_of_lidar = turned - right(1) * right(1) / normal(1, 1);
  if (!(cross * cross >= kClear * kClear * left_of_gyro * left_of_lidar)) return std::nullopt;
  found.factor = cross / left_of_gyro;
  const double rest = std::max(0.0, left_of_lidar - cross * found.factor);
  found.factor_sd = std::sqrt(rest / (static_cast<double>(found.strides) - 2.0) / left_of_gyro);
  return found;
}

}  // namespace wainscot
