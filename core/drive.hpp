#pragma once

// A recorded drive, in memory: what `io/log/drive_reader` reads and `graph/mapping/mapper` maps. All times are on the
// wheels' clock (the reader has applied lidar.time_offset_s and lidar.clock_rate) and never decrease within one vector.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/pose2.hpp"
#include "core/robot.hpp"

namespace wainscot {

/// One laser return. 12 bytes, since an hour's drive has ten million of them.
struct Return {
  float angle_rad;      ///< in the lidar's frame, counter-clockwise positive, in (-pi, pi] (`mirrored` already applied)
  float range_m;        ///< as measured, in metres: `range_unit_m` applied, `range_scale` and `range_offset_m` not.
                        ///< At or beyond max_range_m: no echo, but the way up to max_range_m was free
  float time_offset_s;  ///< after Scan::time_s; >= 0 and growing in the order of firing
};

/// One turn of the lidar. Beams without a return, closer than min_range_m or in a blind sector are not in it.
struct Scan {
  double time_s = 0.0;  ///< the first beam's moment, whether or not that beam had a return
  std::vector<Return> returns;
};

struct WheelCounts {
  double time_s = 0.0;
  std::int64_t left_ticks = 0;  ///< cumulative, unwrapped
  std::int64_t right_ticks = 0;
};

struct TimedPose {
  double time_s = 0.0;
  Pose2 pose;
};

struct YawRate {
  double time_s = 0.0;
  double yaw_rate_rad_s = 0.0;  ///< as logged: sign, scale and bias of the robot not applied
};

struct MarkerSighting {
  double time_s = 0.0;
  std::string marker;
  double x_m = 0.0;  ///< in the robot's frame
  double y_m = 0.0;
  std::optional<double> heading_rad;
};

struct SurveyedMarker {
  std::string marker;
  double x_m = 0.0;
  double y_m = 0.0;
  std::optional<double> heading_rad;
};

/// All the time from one moment to another the robot's middle was on a straight line on the floor.
struct FollowedStretch {
  double from_s = 0.0;
  double to_s = 0.0;  ///< after from_s
  std::string line;
  double sd_m = 0.01;  ///< how well it kept to the line
};

/// Where a survey found a line: two of its points, apart from each other. The robot followed it between them.
struct MeasuredLine {
  std::string line;
  double x1_m = 0.0;
  double y1_m = 0.0;
  double x2_m = 0.0;
  double y2_m = 0.0;
};

/// What the person who drove knows: the robot was, or was not, at the same place at both times.
struct Hint {
  double time_1_s = 0.0;
  double time_2_s = 0.0;
  bool same_place = true;
};

struct Drive {
  std::string name;      ///< the folder's name, for people
  std::string checksum;  ///< hexadecimal digest of the input files' bytes
  Robot robot;
  std::vector<WheelCounts> wheels;  ///< this or `odometry` is filled
  std::vector<TimedPose> odometry;  ///< poses that the robot integrated itself
  /// Indices into `wheels` or `odometry`: between sample i - 1 and sample i a counter restarted or the odometry jumped,
  /// so that the motion there is not known. Ascending.
  std::vector<std::size_t> breaks;
  std::vector<Scan> scans;
  std::vector<YawRate> gyro;
  std::vector<MarkerSighting> markers;
  std::vector<SurveyedMarker> marker_map;
  std::vector<FollowedStretch> followed;  ///< in the order of their begins
  std::vector<MeasuredLine> line_map;     ///< in the frame of `marker_map`
  std::vector<Hint> hints;
  std::vector<TimedPose> truth;       ///< never used for mapping
  std::vector<std::string> warnings;  ///< what the reader dropped or found odd, one sentence each
};

}  // namespace wainscot
