#include "io/log/lidar_reading.hpp"

#include <fmt/format.h>

#include <cmath>
#include <limits>
#include <numbers>

namespace wainscot {
namespace {

// The least float that is not less than `value`, so that a kept range still is "at or beyond max_range_m".
float rounded_up(double value) {
  const auto nearest = static_cast<float>(value);
  return nearest < value ? std::nextafter(nearest, std::numeric_limits<float>::infinity()) : nearest;
}

// The way from one direction to another, counter-clockwise, 0 <= result < 360.
double turn_deg(double from_deg, double to_deg) {
  const double turn = std::fmod(to_deg - from_deg, 360.0);
  return turn < 0.0 ? turn + 360.0 : turn;
}

}  // namespace

LidarReading::LidarReading(const LidarConstants& lidar)
    : range_unit_m_(lidar.range_unit_m),
      min_range_m_(lidar.min_range_m),
      max_range_m_(lidar.max_range_m),
      max_range_kept_m_(rounded_up(lidar.max_range_m)),
      mirrored_(lidar.mirrored),
      clock_rate_(lidar.clock_rate),
      time_offset_s_(lidar.time_offset_s),
      blind_(lidar.blind_deg) {}

bool LidarReading::is_blind(double angle_deg) const {
  for (const Sector& sector : blind_) {
    if (turn_deg(sector.from_deg, angle_deg) <= turn_deg(sector.from_deg, sector.to_deg)) return true;
  }
  return false;
}

double LidarReading::wheel_time_s(double logged_s) {
  if (!first_time_s_) first_time_s_ = logged_s;
  return *first_time_s_ + (logged_s - *first_time_s_) * clock_rate_ + time_offset_s_;
}

void LidarReading::warn_of_odd_ranges(const std::string& file, std::vector<std::string>& warnings) const {
  constexpr double kNearlyAll = 0.9;
  const double most = kNearlyAll * static_cast<double>(ranges_);
  if (ranges_ == 0) {
    warnings.push_back(fmt::format("{}: holds no return at all; check the lidar and its wiring", file));
  } else if (static_cast<double>(too_far_) > most) {
    warnings.push_back(
        fmt::format("{}: {} of {} ranges lie at or beyond max_range_m, {} m; check range_unit_m (0.001 "
                    "for a log in millimetres) and max_range_m in robot.yaml",
                    file, too_far_, ranges_, max_range_m_));
  } else if (static_cast<double>(too_near_) > most) {
    warnings.push_back(
        fmt::format("{}: {} of {} ranges lie below min_range_m, {} m; check range_unit_m and "
                    "min_range_m in robot.yaml",
                    file, too_near_, ranges_, min_range_m_));
  }
}

float return_angle_rad(double angle_deg) {
  return static_cast<float>(wrap_angle_deg(angle_deg) * std::numbers::pi / 180.0);
}

}  // namespace wainscot
