#include "graph/extend/joined_drives.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <string>
#include <utility>

#include "core/errors.hpp"
#include "core/odometry.hpp"

namespace wainscot {
namespace {

/// A scan's time on the wheels' clock.
double wheel_time_s(const DayConstants& day, double lidar_time_s) {
  return lidar_time_s + day.time_offset_s + day.clock_rate * (lidar_time_s - day.at_s);
}

double begin_s(const Drive& drive) {
  return drive.wheels.empty() ? drive.odometry.front().time_s : drive.wheels.front().time_s;
}

double end_s(const Drive& drive) {
  return drive.wheels.empty() ? drive.odometry.back().time_s : drive.wheels.back().time_s;
}

double length_s(const Scan& scan) {
  return scan.returns.empty() ? 0.0 : static_cast<double>(scan.returns.back().time_offset_s);
}

bool has_motion(const Drive& drive) { return drive.wheels.size() >= 2 || drive.odometry.size() >= 2; }

void join_motion(const Drive& drive, double shift_s, Drive& joined) {
  const std::size_t before = joined.wheels.empty() ? joined.odometry.size() : joined.wheels.size();
  if (before > 0) joined.breaks.push_back(before);
  for (const std::size_t sample : drive.breaks) joined.breaks.push_back(before + sample);
  for (WheelCounts counts : drive.wheels) {
    counts.time_s += shift_s;
    joined.wheels.push_back(counts);
  }
  for (TimedPose pose : drive.odometry) {
    pose.time_s += shift_s;
    joined.odometry.push_back(pose);
  }
}

/// As rates of the robot, without sign, scale and bias.
void join_gyro(const Drive& drive, double shift_s, Drive& joined) {
  const GyroConstants& gyro = drive.robot.gyro;
  const double bias = gyro_bias_rad_s(drive).value();
  for (const YawRate& sample : drive.gyro) {
    joined.gyro.push_back({sample.time_s + shift_s, gyro.sign * gyro.scale * sample.yaw_rate_rad_s - bias});
  }
}

/// Of a survey: what an earlier drive has by this name stays.
template <typename Row>
void join_survey(const std::vector<Row>& survey, std::string Row::*name, std::vector<Row>& joined) {
  for (const Row& row : survey) {
    const auto same = [&](const Row& other) { return other.*name == row.*name; };
    if (std::none_of(joined.begin(), joined.end(), same)) joined.push_back(row);
  }
}

void join_words(const Drive& drive, double shift_s, Drive& joined) {
  for (MarkerSighting seen : drive.markers) {
    seen.time_s += shift_s;
    joined.markers.push_back(std::move(seen));
  }
  for (FollowedStretch stretch : drive.followed) {
    stretch.from_s += shift_s;
    stretch.to_s += shift_s;
    joined.followed.push_back(std::move(stretch));
  }
  join_survey(drive.marker_map, &SurveyedMarker::marker, joined.marker_map);
  join_survey(drive.line_map, &MeasuredLine::line, joined.line_map);
  for (const Hint& hint : drive.hints) {
    joined.hints.push_back({hint.time_1_s + shift_s, hint.time_2_s + shift_s, hint.same_place});
  }
}

void join_scans(const Drive& drive, const DayConstants& day, JoinedDrives& joined) {
  const double shift_s = joined.parts.back().shift_s;
  for (std::size_t i = 0; i < drive.scans.size(); ++i) {
    Scan scan = drive.scans[i];
    if (scan.time_s < begin_s(drive) || scan.time_s + length_s(scan) > end_s(drive)) {
      ++joined.left_out.back();
      continue;
    }
    for (Return& beam : scan.returns) beam.time_offset_s *= static_cast<float>(day.sweep_scale);
    // A scan that the day's delay puts just outside was taken where odometry begins or ends.
    constexpr double kInsideS = 1e-6;
    const double latest_s = end_s(drive) - length_s(scan) - kInsideS;
    scan.time_s = std::max(begin_s(drive), std::min(wheel_time_s(day, scan.time_s), latest_s)) + shift_s;
    joined.drive.scans.push_back(std::move(scan));
    joined.own_scan.push_back(i);
  }
}

}  // namespace

DayConstants day_constants(const Map& map, const Drive& recording, int drive) {
  DayConstants day;
  const Node* first = nullptr;
  const Node* last = nullptr;
  for (const Node& node : map.graph.nodes) {
    if (node.drive != drive) continue;
    if (first == nullptr) first = &node;
    last = &node;
  }
  for (const RefinedConstant& c : map.constants) {
    if (c.name == "lidar.sweep_s" && c.stated > 0.0) day.sweep_scale = c.found / c.stated;
  }
  if (first == nullptr) return day;
  const double from_s = recording.scans.at(first->scan).time_s;
  const double to_s = recording.scans.at(last->scan).time_s;
  day.at_s = from_s;
  day.time_offset_s = first->time_s - from_s;
  if (to_s > from_s) day.clock_rate = (last->time_s - first->time_s) / (to_s - from_s) - 1.0;
  return day;
}

JoinedDrives join_drives(std::span<const Drive> drives, std::span<const DayConstants> days, std::size_t old_drives) {
  constexpr double kGapS = 100.0;  // no sweep, no visit and no smoothing reaches across
  JoinedDrives joined;
  joined.drive.name = drives.front().name;
  joined.drive.robot = drives.front().robot;
  const bool gyro = std::all_of(drives.begin(), drives.end(), [](const Drive& d) { return gyro_bias_rad_s(d); });
  for (std::size_t i = 0; i < drives.size(); ++i) {
    const Drive& drive = drives[i];
    if (!has_motion(drive)) throw PoorData(drive.name + " has fewer than two rows of odometry");
    // Whole seconds, so that times keep their digits.
    const double shift_s = i == 0 ? 0.0 : std::ceil(end_s(joined.drive) + kGapS - begin_s(drive));
    const double from_s = begin_s(drive) + shift_s - 0.5 * kGapS;
    joined.parts.push_back({drive.name, joined.drive.scans.size(), from_s, shift_s, i < old_drives});
    joined.left_out.push_back(0);
    join_motion(drive, shift_s, joined.drive);
    if (gyro) join_gyro(drive, shift_s, joined.drive);
    join_words(drive, shift_s, joined.drive);
    join_scans(drive, days[i], joined);
  }
  joined.drive.robot.gyro = {1, 1.0, 0.0, drives.front().robot.gyro.sd_rad_s};
  return joined;
}

}  // namespace wainscot
