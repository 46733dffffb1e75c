#include "graph/check/gyro_agreement.hpp"

#include <algorithm>

namespace wainscot {
namespace {

/// As logged, sign applied: no bias, no scale.
double turn_by_gyro(const std::vector<YawRate>& gyro, double sign, double from_s, double to_s) {
  double turn = 0.0;
  const auto before = [](const YawRate& row, double t) { return row.time_s < t; };
  for (auto row = std::lower_bound(gyro.begin(), gyro.end(), from_s, before);
       row != gyro.end() && row + 1 != gyro.end() && row->time_s < to_s; ++row) {
    turn += row->yaw_rate_rad_s * ((row + 1)->time_s - row->time_s);
  }
  return turn * sign;
}

}  // namespace

std::optional<bool> gyro_agreement(const std::vector<LidarStride>& strides, const Drive& drive, const ClockFit& clock) {
  constexpr double kClear = 0.8;  // correlation of the two
  if (drive.gyro.size() < 2) return std::nullopt;
  double gg = 0.0;
  double ll = 0.0;
  double gl = 0.0;
  for (const LidarStride& stride : strides) {
    if (!stride.sure) continue;
    const double turn = turn_by_gyro(drive.gyro, drive.robot.gyro.sign, clock.wheel_time_s(stride.begin_s),
                                     clock.wheel_time_s(stride.end_s));
    gg += turn * turn;
    ll += stride.motion.heading_rad * stride.motion.heading_rad;
    gl += turn * stride.motion.heading_rad;
  }
  if (gl * gl < kClear * kClear * gg * ll) return std::nullopt;
  return gl > 0.0;
}

}  // namespace wainscot
