#pragma once

// What robot.yaml says of the lidar, applied to what its log says: ranges, angles and times.

#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include "core/robot.hpp"

namespace wainscot {

class LidarReading {
 public:
  explicit LidarReading(const LidarConstants& lidar);

  /// A logged range, >= 0, as `Return::range_m`; nullopt for "no return" (0) and for ranges below min_range_m.
  std::optional<float> range_m(double logged) {  // here, since it is called for every beam
    const double range = logged * range_unit_m_;
    if (range <= 0.0) return std::nullopt;
    ++ranges_;
    if (range >= max_range_m_) {
      ++too_far_;
      return max_range_kept_m_;
    }
    if (range < min_range_m_) {
      ++too_near_;
      return std::nullopt;
    }
    return static_cast<float>(range);
  }

  /// A logged angle, any number of turns, in the lidar's frame, counter-clockwise positive.
  double angle_deg(double logged) const { return mirrored_ ? -logged : logged; }

  /// Whether an angle of the lidar's frame lies in a blind sector; the sector's ends belong to it.
  bool is_blind(double angle_deg) const;

  /// A time of the lidar's log on the wheels' clock. The first call defines the log's first time.
  double wheel_time_s(double logged_s);

  /// Seconds of the wheels' clock for one of the lidar's.
  double clock_rate() const { return clock_rate_; }

  /// Warns where the ranges seen so far cannot be metres, or not in the stated unit.
  void warn_of_odd_ranges(const std::string& file, std::vector<std::string>& warnings) const;

 private:
  double range_unit_m_;
  double min_range_m_;
  double max_range_m_;
  float max_range_kept_m_;
  bool mirrored_;
  double clock_rate_;
  double time_offset_s_;
  std::vector<Sector> blind_;
  std::optional<double> first_time_s_;
  std::size_t ranges_ = 0;
  std::size_t too_near_ = 0;
  std::size_t too_far_ = 0;
};

/// Any angle in degrees, brought to (-180, 180].
inline double wrap_angle_deg(double angle_deg) {
  // Nearly every angle of a log is one turn off at most, and a general remainder takes as long as reading the number.
  if (angle_deg > 180.0 && angle_deg <= 540.0) return angle_deg - 360.0;
  if (angle_deg <= -180.0 && angle_deg > -540.0) return angle_deg + 360.0;
  if (std::abs(angle_deg) <= 180.0) return angle_deg;
  const double wrapped = std::remainder(angle_deg, 360.0);
  return wrapped <= -180.0 ? 180.0 : wrapped;
}

/// An angle in degrees as `Return::angle_rad`.
float return_angle_rad(double angle_deg);

}  // namespace wainscot
