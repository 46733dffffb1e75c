#pragma once

// A robot that drives about in a room of four walls, exact but for millimetres: what the tests of the guess begin with.

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "core/drive.hpp"
#include "core/pose2.hpp"
#include "io/convert/log_sample.hpp"

namespace wainscot {

struct MadeTurn {
  double time_s = 0.0;
  std::vector<double> ranges_m;  ///< counter-clockwise from straight ahead
};

struct MadeRoom {
  static constexpr double kTick = 1e-4;
  static constexpr double kTrack = 0.3;
  static constexpr int kBeams = 180;
  static constexpr double kTurnS = 0.125;

  std::vector<WheelCounts> wheels;
  std::vector<TimedPose> poses;
  std::vector<YawRate> gyro;
  std::vector<MadeTurn> turns;

  /// Walls at x = -2.5 and 3.5, y = -1.6 and 2.4 m; the lidar in the robot's middle, looking ahead.
  explicit MadeRoom(double seconds = 40.0, double field_deg = 360.0, int beams = kBeams) {
    constexpr double kRowS = 0.02;
    Pose2 pose{0.0, 0.0, 0.1};  // no beam straight along a wall
    double left_m = 0.0, right_m = 0.0;
    for (int i = 0; i * kRowS <= seconds; ++i) {
      const double t = i * kRowS;
      const double speed = t < 1.0 ? 0.0 : 0.25 + 0.1 * std::sin(0.9 * t);
      const double turn = t < 1.0 ? 0.0 : 0.5 + 0.6 * std::sin(0.7 * t);
      wheels.push_back({t, std::llround(left_m / kTick), std::llround(right_m / kTick)});
      poses.push_back({t, pose});
      gyro.push_back({t, turn});
      pose = pose * exp(kRowS * Tangent2(speed, 0.0, turn));
      left_m += kRowS * (speed - 0.5 * kTrack * turn);
      right_m += kRowS * (speed + 0.5 * kTrack * turn);
    }
    for (double t = 0.2; t + kTurnS < seconds - 0.1; t += kTurnS) turns.push_back(turn_at(t, field_deg, beams));
  }

 private:
  MadeTurn turn_at(double begin_s, double field_deg, int beams) const {
    MadeTurn turn{begin_s, {}};
    const double step = field_deg / (field_deg < 360.0 ? beams - 1 : beams) * std::numbers::pi / 180.0;
    const double first = field_deg < 360.0 ? -0.5 * field_deg * std::numbers::pi / 180.0 : 0.0;
    for (int b = 0; b < beams; ++b) {
      const double angle = first + b * step;
      const double t = begin_s + kTurnS * (angle - first) / (2.0 * std::numbers::pi);
      const auto row = static_cast<std::size_t>(t / 0.02);
      const double u = t / 0.02 - static_cast<double>(row);
      const Pose2 pose = poses[row].pose * exp(u * log(between(poses[row].pose, poses[row + 1].pose)));
      const double c = std::cos(pose.heading_rad + angle), s = std::sin(pose.heading_rad + angle);
      const double to_x = ((c > 0.0 ? 3.5 : -2.5) - pose.x_m) / c;
      const double to_y = ((s > 0.0 ? 2.4 : -1.6) - pose.y_m) / s;
      const double noise = 0.004 * std::sin(12.9898 * b + 78.233 * begin_s * 8.0);
      turn.ranges_m.push_back(std::round(1e3 * (std::min(to_x, to_y) + noise)) / 1e3);
    }
    return turn;
  }
};

/// A column of a kind made by hand.
inline SampleColumn made_column(const std::string& name, std::vector<double> values, const std::string& label = "") {
  return {name, label, std::move(values)};
}

/// Kinds of one file, as a sample.
inline LogSample made_sample(std::vector<RecordKind> kinds) {
  SampledFile file;
  file.file.name = "robot.log";
  file.kinds = std::move(kinds);
  for (RecordKind& kind : file.kinds) {
    kind.choice.file = "robot.log";
    if (!kind.columns.empty()) kind.records = kind.columns.front().values.size();
  }
  return {{file}};
}

/// Turns as records: time in milliseconds and an array of millimetres.
inline RecordKind made_scan_kind(const MadeRoom& room) {
  RecordKind kind;
  kind.choice.message_column = "1";
  kind.choice.message = "S";
  SampleColumn time = made_column("2", {});
  SampleArray ranges;
  ranges.name = "3";
  ranges.to_the_end = true;
  for (const MadeTurn& turn : room.turns) {
    time.values.push_back(std::round(1e3 * turn.time_s) + 5000.0);
    std::vector<double>& row = ranges.rows.emplace_back();
    for (const double range : turn.ranges_m) row.push_back(std::round(1e3 * range));
  }
  kind.columns = {time};
  kind.arrays = {ranges};
  return kind;
}

/// Counts as records: time in milliseconds, left and right.
inline RecordKind made_wheel_kind(const MadeRoom& room) {
  RecordKind kind;
  kind.choice.message_column = "1";
  kind.choice.message = "W";
  kind.columns = {made_column("2", {}), made_column("3", {}), made_column("4", {})};
  for (const WheelCounts& row : room.wheels) {
    kind.columns[0].values.push_back(std::round(1e3 * row.time_s) + 5000.0);
    kind.columns[1].values.push_back(static_cast<double>(row.left_ticks) + 700.0);
    kind.columns[2].values.push_back(static_cast<double>(row.right_ticks) - 300.0);
  }
  return kind;
}

/// The same as lines: "W,5020,700,-300" and "S,5200,1234,...".
inline std::string made_log_text(const MadeRoom& room) {
  std::string text;
  std::size_t next = 0;
  for (const WheelCounts& row : room.wheels) {
    for (; next < room.turns.size() && room.turns[next].time_s <= row.time_s; ++next) {
      text += fmt::format("S,{:.0f}", 1e3 * room.turns[next].time_s + 5000.0);
      for (const double range : room.turns[next].ranges_m) text += fmt::format(",{:.0f}", 1e3 * range);
      text += '\n';
    }
    text += fmt::format("W,{:.0f},{},{}\n", 1e3 * row.time_s + 5000.0, row.left_ticks + 700, row.right_ticks - 300);
  }
  return text;
}

}  // namespace wainscot
