#pragma once

// What holds for every drive that the reader returns, however damaged the files were.

#include <cmath>
#include <numbers>
#include <string>

#include "core/drive.hpp"
#include "io/spelling.hpp"

namespace wainscot {

template <typename Row>
bool times_never_decrease(const std::vector<Row>& rows) {
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (!std::isfinite(rows[i].time_s) || (i > 0 && rows[i].time_s < rows[i - 1].time_s)) return false;
  }
  return true;
}

inline bool is_finite(const Pose2& pose) {
  return std::isfinite(pose.x_m) && std::isfinite(pose.y_m) && std::isfinite(pose.heading_rad);
}

/// What is wrong with a scan, or "".
inline std::string broken_invariant(const Scan& scan, const LidarConstants& lidar) {
  float last_offset_s = 0.0f;
  for (const Return& beam : scan.returns) {
    if (!(std::abs(beam.angle_rad) <= static_cast<float>(std::numbers::pi))) return "an angle";
    if (!(beam.range_m > 0.0f) || !(static_cast<double>(beam.range_m) <= lidar.max_range_m * (1 + 1e-6)))
      return "a range";
    if (!(static_cast<double>(beam.range_m) >= lidar.min_range_m * (1 - 1e-6))) return "a near range";
    if (!(beam.time_offset_s >= last_offset_s) || !std::isfinite(beam.time_offset_s)) return "a time offset";
    last_offset_s = beam.time_offset_s;
  }
  return "";
}

enum class Motion { recorded, left_out };  ///< by wheels.csv or odometry.csv, or by neither

/// What is wrong with the drive, or "".
inline std::string broken_invariant(const Drive& drive, Motion motion = Motion::recorded) {
  if (!times_never_decrease(drive.wheels) || !times_never_decrease(drive.odometry) ||
      !times_never_decrease(drive.scans) || !times_never_decrease(drive.gyro) || !times_never_decrease(drive.markers) ||
      !times_never_decrease(drive.truth)) {
    return "times";
  }
  const int motions = (drive.wheels.empty() ? 0 : 1) + (drive.odometry.empty() ? 0 : 1);
  if (motions != (motion == Motion::recorded ? 1 : 0)) return "wheels or odometry";
  if (drive.scans.empty()) return "no scans";
  const std::size_t rows = drive.wheels.size() + drive.odometry.size();
  for (std::size_t i = 0; i < drive.breaks.size(); ++i) {
    if (drive.breaks[i] == 0 || drive.breaks[i] >= rows || (i > 0 && drive.breaks[i] <= drive.breaks[i - 1])) {
      return "breaks";
    }
  }
  for (const TimedPose& pose : drive.odometry) {
    if (!is_finite(pose.pose)) return "odometry";
  }
  for (const TimedPose& pose : drive.truth) {
    if (!is_finite(pose.pose)) return "truth";
  }
  for (const Scan& scan : drive.scans) {
    const std::string broken = broken_invariant(scan, drive.robot.lidar);
    if (!broken.empty()) return broken;
  }
  for (const std::string& warning : drive.warnings) {
    if (!is_plain_text(warning)) return "a warning";
  }
  for (const MarkerSighting& marker : drive.markers) {
    if (!is_plain_text(marker.marker) || !std::isfinite(marker.x_m + marker.y_m)) return "a marker";
  }
  for (const FollowedStretch& stretch : drive.followed) {
    if (!is_plain_text(stretch.line) || !(stretch.to_s > stretch.from_s) || !(stretch.sd_m > 0.0)) return "a stretch";
  }
  for (const MeasuredLine& line : drive.line_map) {
    if (!is_plain_text(line.line) || !(std::hypot(line.x2_m - line.x1_m, line.y2_m - line.y1_m) > 0.0)) return "a line";
  }
  return drive.checksum.size() == 64 ? "" : "checksum";
}

/// What is wrong with a message of refusal, or "": it is one line of plain text that says what and what to do.
inline std::string broken_message(const std::string& message) {
  if (!is_plain_text(message) || message.size() > 1000)
    return "the message is no line of text: " + printable(message, 200);
  return message.find("; ") == std::string::npos && message.find(": ") == std::string::npos ? "no advice: " + message
                                                                                            : "";
}

}  // namespace wainscot
