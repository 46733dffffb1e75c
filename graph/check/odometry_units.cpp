#include "graph/check/odometry_units.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "core/angles.hpp"
#include "core/odometry.hpp"

namespace wainscot {
namespace {

/// What was moved in the windows, in sum and without sign.
struct Moved {
  double way_m = 0.0;
  double turned_rad = 0.0;
};

/// Some seconds of sure steps in a row: what noise adds to each step cancels in their sum.
struct MotionWindow {
  double begin_s = 0.0;
  double end_s = 0.0;
  Pose2 motion;
};

std::vector<MotionWindow> windows_of(const LidarMotion& motion) {
  // Way enough for matches' noise to be little of it, short enough for curves not to shorten it (by hand).
  constexpr double kWindowS = 2.0;
  std::vector<MotionWindow> windows;
  bool going_on = false;
  for (const LidarStride& step : motion.steps) {
    if (!step.sure) {
      going_on = false;
      continue;
    }
    if (!going_on) windows.push_back({step.begin_s, step.begin_s, {}});
    MotionWindow& window = windows.back();
    window.motion = window.motion * step.motion;
    window.end_s = step.end_s;
    going_on = window.end_s - window.begin_s < kWindowS;
  }
  return windows;
}

/// A heading that is read in a wrong unit is no angle any more: its whole change counts.
Pose2 pose_at(const std::vector<TimedPose>& poses, double time_s) {
  const auto after = std::lower_bound(poses.begin(), poses.end(), time_s,
                                      [](const TimedPose& row, double t) { return row.time_s < t; });
  if (after == poses.begin()) return poses.front().pose;
  if (after == poses.end()) return poses.back().pose;
  const TimedPose& a = *(after - 1);
  const double share = (time_s - a.time_s) / (after->time_s - a.time_s);
  const auto mean = [share](double from, double to) { return from + share * (to - from); };
  return {mean(a.pose.x_m, after->pose.x_m), mean(a.pose.y_m, after->pose.y_m),
          mean(a.pose.heading_rad, after->pose.heading_rad)};
}

Moved moved_by_lidar(const std::vector<MotionWindow>& windows) {
  Moved moved;
  for (const MotionWindow& window : windows) {
    moved.way_m += window.motion.translation().norm();
    moved.turned_rad += std::abs(window.motion.heading_rad);
  }
  return moved;
}

Moved moved_by_poses(const std::vector<MotionWindow>& windows, const std::vector<TimedPose>& poses) {
  Moved moved;
  for (const MotionWindow& window : windows) {
    const Pose2 from = pose_at(poses, window.begin_s);
    const Pose2 to = pose_at(poses, window.end_s);
    moved.way_m += (to.translation() - from.translation()).norm();
    moved.turned_rad += std::abs(to.heading_rad - from.heading_rad);
  }
  return moved;
}

constexpr double kAlikeWay = 1.5;   // slip, and a lidar off the middle, make no more of it
constexpr double kAlikeTurn = 2.0;  // of turns: tracks slip by more

bool is_alike(double ratio) { return ratio > 1.0 / kAlikeTurn && ratio < kAlikeTurn; }

struct LengthUnit {
  double metres;
  const char* name;
};

/// The unit that brings the odometry's way next to the lidar's; nullopt: metres, or none that is known.
std::optional<LengthUnit> length_unit(double ratio, double stated_m) {
  // Units of length, by definition.
  constexpr std::array<LengthUnit, 4> kUnits = {
      {{0.001, "millimetres"}, {0.01, "centimetres"}, {0.0254, "inches"}, {1.0, "metres"}}};
  std::optional<LengthUnit> best;
  const auto off = [&](const LengthUnit& unit) { return std::abs(std::log(ratio * unit.metres / stated_m)); };
  for (const LengthUnit& unit : kUnits) {
    if (off(unit) < std::log(kAlikeWay) && (!best || off(unit) < off(*best))) best = unit;
  }
  // A foot is 3.3 to the metre, and so may a constant in the robot's own program be off: that is no unit for sure.
  constexpr double kSurelyAUnit = 10.0;
  if (!best || std::abs(std::log(ratio)) < std::log(kSurelyAUnit)) return std::nullopt;
  return best;
}

void mend_lengths(const LengthUnit& unit, const Moved& lidar, const Moved& poses, Drive& drive,
                  std::vector<Finding>& findings) {
  const double factor = unit.metres / drive.robot.odometry.position_m;
  for (TimedPose& row : drive.odometry) {
    row.pose.x_m *= factor;
    row.pose.y_m *= factor;
  }
  drive.robot.odometry.position_m = unit.metres;
  Finding finding;
  finding.fault = Fault::odometry_unit;
  finding.what = sentence("odometry.csv's x_m and y_m are in %s", unit.name);
  finding.figure = sentence("it drove %.4g m where the lidar says %.4g m", poses.way_m, lidar.way_m);
  finding.confidence = 0.999;
  finding.lines = {robot_line(drive.robot, "odometry.position_unit_m")};
  findings.push_back(finding);
}

void mend_headings(const OtherHeadings& other, const Moved& lidar, const Moved& poses, Drive& drive,
                   std::vector<Finding>& findings) {
  drive.odometry = other.odometry;
  drive.breaks = other.breaks;
  drive.robot.odometry.heading_rad = other.heading_unit_rad;
  Finding finding;
  finding.fault = Fault::heading_unit;
  finding.what = sentence("odometry.csv's heading_rad is in %s", other.heading_unit_rad == 1.0 ? "radians" : "degrees");
  finding.figure =
      sentence("it turned by %.4g radians in all where the lidar says %.4g", poses.turned_rad, lidar.turned_rad);
  finding.confidence = 0.999;
  finding.lines = {robot_line(drive.robot, "odometry.heading_unit_rad")};
  findings.push_back(finding);
}

}  // namespace

std::vector<Finding> mend_odometry_units(const LidarMotion& motion, const OtherHeadings* other, Drive& drive) {
  // Chosen by hand: of less way or turning a unit is not told from noise; half as much names units of robots that
  // hardly moved, twice as much is silent on short drives. No slip makes three of one; degrees make 57.
  constexpr double kEnoughM = 0.5;
  constexpr double kEnoughRad = 1.0;
  constexpr double kFarOff = 3.0;
  std::vector<Finding> findings;
  if (drive.odometry.size() < 2) return findings;
  const std::vector<MotionWindow> windows = windows_of(motion);
  const Moved lidar = moved_by_lidar(windows);
  const Moved poses = moved_by_poses(windows, drive.odometry);
  std::optional<LengthUnit> unit;
  if (lidar.way_m > kEnoughM) unit = length_unit(poses.way_m / lidar.way_m, drive.robot.odometry.position_m);
  if (other != nullptr && other->odometry.size() >= 2 && lidar.turned_rad > kEnoughRad) {
    const double as_stated = poses.turned_rad / lidar.turned_rad;
    const double otherwise = moved_by_poses(windows, other->odometry).turned_rad / lidar.turned_rad;
    if (is_alike(otherwise) && (as_stated > kFarOff || as_stated < 1.0 / kFarOff)) {
      mend_headings(*other, lidar, poses, drive, findings);
    }
  }
  if (unit) mend_lengths(*unit, lidar, poses, drive, findings);
  return findings;
}

}  // namespace wainscot
