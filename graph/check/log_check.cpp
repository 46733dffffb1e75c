#include "graph/check/log_check.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <numbers>
#include <utility>

#include "core/errors.hpp"
#include "core/odometry.hpp"
#include "graph/check/clock_diagnosis.hpp"
#include "graph/check/explanation.hpp"
#include "graph/check/gyro_agreement.hpp"
#include "graph/check/gyro_diagnosis.hpp"
#include "graph/check/motion_events.hpp"
#include "graph/check/mounting_diagnosis.hpp"
#include "graph/check/odometry_units.hpp"
#include "graph/check/scale_diagnosis.hpp"
#include "graph/check/sight_diagnosis.hpp"
#include "graph/check/sign_diagnosis.hpp"
#include "graph/check/sweep_diagnosis.hpp"
#include "graph/check/time_units.hpp"
#include "graph/motion/clock_fit.hpp"
#include "graph/motion/lidar_motion.hpp"
#include "graph/motion/robot_fit.hpp"
#include "graph/motion/sweep_fit.hpp"

namespace wainscot {
namespace {

/// Takes over what a stage says, and mends `robot` by it.
void take(Diagnosis diagnosis, Robot& robot, LogCheck& check) {
  const auto append = [](auto& from, auto& to) {
    to.insert(to.end(), std::make_move_iterator(from.begin()), std::make_move_iterator(from.end()));
  };
  append(diagnosis.findings, check.findings);
  append(diagnosis.constants, check.constants);
  append(diagnosis.notes, check.notes);
  robot = std::move(diagnosis.mended);
}

void refuse_standing_robot(const LidarMotion& motion, const LogContents& contents) {
  double turned = 0.0;
  double way = 0.0;
  for (const LidarStride& step : motion.steps) {
    if (!step.sure) continue;
    turned += std::abs(step.motion.heading_rad);
    way += step.motion.translation().norm();
  }
  constexpr double kHardly = 0.3;  // m, rad
  if (std::max(contents.way_m, contents.turned_rad) < kHardly && way + turned < 10.0 * kHardly) {
    throw PoorData(
        "the robot hardly moved: a check needs a drive of some metres with some turns; drive a square, or through a "
        "room and back");
  }
}

/// Rows that a wrong unit of headings made look like ones that no robot could drive are there again.
void count_rows_again(const Drive& drive, LogContents& contents, std::vector<Finding>& findings) {
  contents.motion = log_contents(without_gyro(drive)).motion;
  contents.breaks = drive.breaks.size();
  std::erase_if(findings, [](const Finding& finding) { return finding.fault == Fault::lost_wheel_rows; });
  for (const Finding& finding : log_findings(without_gyro(drive), contents, nullptr)) {
    if (finding.fault == Fault::lost_wheel_rows) findings.push_back(finding);
  }
}

/// Sectors of a lidar that was read the wrong way round lie elsewhere: the next check finds them.
void forget_body(const LidarConstants& stated, Robot& robot, LogCheck& check) {
  robot.lidar.blind_deg = stated.blind_deg;
  std::erase_if(check.findings, [](const Finding& finding) { return finding.fault == Fault::body_in_view; });
}

/// The drive with the constants and the mounting that the scans found.
Drive as_found(const Drive& drive, const RobotFit& fit) {
  Drive found = drive;
  if (found.robot.drive && !drive.wheels.empty()) {
    found.robot.drive->left_m_per_tick = fit.left_m_per_tick;
    found.robot.drive->right_m_per_tick = fit.right_m_per_tick;
    found.robot.drive->track_width_m = fit.track_width_m;
  }
  found.robot.lidar.x_m = fit.mounting.x_m;
  found.robot.lidar.y_m = fit.mounting.y_m;
  found.robot.lidar.heading_deg = 180.0 / std::numbers::pi * fit.mounting.heading_rad;
  return found;
}

/// Units are no constants: the drive as stated, in the right ones.
Drive in_right_units(const Drive& stated, const Drive& drive) {
  Drive right = without_gyro(drive);
  right.robot = stated.robot;
  right.robot.odometry = drive.robot.odometry;
  right.robot.gyro.scale = drive.robot.gyro.scale;
  right.gyro = drive.gyro;
  return right;
}

/// The gyro by the lidar's turns: mends `drive`, and leaves a gyro out that the turns do not confirm. Returns whether
/// it turns the lidar's way; nullopt: there is none, or it was left out.
std::optional<bool> compare_gyro(const std::vector<LidarStride>& strides, const ClockFit& clock, Drive& drive,
                                 LogCheck& check) {
  const std::optional<GyroAgreement> agreement = gyro_agreement(strides, drive, clock);
  if (!agreement) {
    drive.gyro.clear();
    return std::nullopt;
  }
  take(gyro_diagnosis(*agreement, drive.robot), drive.robot, check);
  return agreement->same_way();
}

/// What wheels and scans together say of robot.yaml and of the drive. `stated`: the drive as robot.yaml says; `drive`:
/// with what was found mended, and mended further here.
void compare_wheels_and_scans(const Drive& stated, const TurnScans& scans, const LidarMotion& motion,
                              const LidarMotionOptions& options, const ClockFit& clock, Drive& drive, LogCheck& check) {
  const std::vector<LidarStride> strides = long_strides(scans, motion, drive.robot.lidar, options);
  const WheelSeries wheels(drive);
  const RobotFit fit = fit_robot(strides, wheels, clock, track_width_m(drive.robot));
  if (fit.strides == 0) return;
  add_residuals(strides, fit, clock, check.course);
  const std::optional<bool> gyro_agrees = compare_gyro(strides, clock, drive, check);
  const Drive as_stated = in_right_units(stated, drive);
  const std::vector<Explanation> all = explanations(fit, drive, gyro_agrees);
  const Explanation& best = all.front();
  if (best.mirrored) forget_body(stated.robot.lidar, drive.robot, check);
  take(sign_diagnosis(all, fit, gyro_agrees, drive), drive.robot, check);
  if (fit.drove) {
    take(mounting_diagnosis(best, fit, drive.robot), drive.robot, check);
    take(scale_diagnosis(best, fit, drive), drive.robot, check);
  } else {
    check.notes.emplace_back(
        "The robot turned on the spot and hardly drove: the wheels' constants and the lidar's mounting could not be "
        "checked; drive a square, or through a room and back");
  }
  if (gyro_agrees == !best.mirrored) set_motion(as_stated, check.contents);
  const Drive found = as_found(drive, fit);
  const OdometryPath path(odometry_steps(found), {});
  const ScanWitness witness(scans, motion, drive.robot.lidar, options.sweep_s, fit.mounting);
  std::vector<RobotFit> by_other_clocks;
  for (const ClockFit& other : other_clocks(clock))
    by_other_clocks.push_back(fit_robot(strides, wheels, other, track_width_m(drive.robot)));
  for (Finding& event : motion_events(motion, strides, fit, by_other_clocks, wheels, clock, path, &witness)) {
    check.findings.push_back(std::move(event));
  }
  check.closing = closing_error(as_stated, found, scans, motion, options.sweep_s, clock);
}

/// What rows and scans say for themselves. `drive`: with units mended.
void add_course(const LogReadings& readings, const Drive& drive, const LidarMotion& motion, LogCheck& check) {
  Drive shown = in_right_units(readings.drive, drive);
  shown.gyro = readings.drive.gyro;  // also one that the turns do not confirm
  add_rows(shown, readings.logged, check.course);
  add_scan_motion(motion, readings.drive.robot.lidar, check.course);
}

LogCheck check_log_in_seconds(const LogReadings& readings, const LogCheckOptions& options) {
  const auto tell_progress = [&options](double fraction) {
    if (options.progress) options.progress(fraction);
  };
  LogCheck check;
  ReadableLog log = readable_log(readings);
  Drive& drive = log.drive;  // mended by each stage for the next
  Robot& robot = drive.robot;
  const TurnScans& scans = log.scans;
  check.contents = log.contents;
  take(std::move(log.diagnosis), robot, check);
  tell_progress(0.1);

  LidarMotionOptions follow;
  follow.sweep_s = scans.stated_s;
  follow.threads = options.threads;
  LidarMotion motion = follow_lidar(scans, robot.lidar, follow);
  refuse_standing_robot(motion, check.contents);
  const OtherHeadings* other = readings.other_headings ? &*readings.other_headings : nullptr;
  for (Finding& finding : mend_odometry_units(motion, other, drive)) {
    if (finding.fault == Fault::heading_unit) count_rows_again(drive, check.contents, check.findings);
    set_motion(without_gyro(drive), check.contents);
    check.findings.push_back(std::move(finding));
  }
  tell_progress(0.6);

  SweepDiagnosis sweep = sweep_diagnosis(fit_sweep(scans, motion, robot.lidar, options.threads), scans, robot);
  if (sweep.sweep_s) {
    LidarMotionOptions as_found = follow;
    as_found.sweep_s = *sweep.sweep_s;
    LidarMotion mended = follow_lidar(scans, robot.lidar, as_found);
    if (sees_too_little(readings.logged.size(), scans, mended)) {
      // Where scans hardly fit one another they fit a little better with one time or the other.
      sweep = SweepDiagnosis{{robot, {}, {}, {}}, {}};
      sweep.diagnosis.notes.emplace_back("Too few scans fit one another to check the time of a sweep");
    } else {
      follow = as_found;
      motion = std::move(mended);
    }
  }
  take(std::move(sweep.diagnosis), robot, check);
  tell_progress(0.85);

  take(sight_diagnosis(readings.logged.size(), way_between_scans_m(drive), scans, motion, follow.sweep_s, robot), robot,
       check);
  const ClockFit clock = fit_clock(motion.steps, WheelSeries(drive));
  ClockDiagnosis clocks = clock_diagnosis(clock, motion, drive, log.counts, readings.logged.front().time_s);
  take(std::move(clocks.diagnosis), robot, check);
  if (clocks.related) compare_wheels_and_scans(readings.drive, scans, motion, follow, clocks.clock, drive, check);
  std::stable_partition(check.findings.begin(), check.findings.end(),
                        [](const Finding& finding) { return is_of_units(finding.fault); });
  check.mended = robot;
  add_course(readings, drive, motion, check);
  return check;
}

}  // namespace

LogCheck check_log(const LogReadings& readings, const LogCheckOptions& options) {
  const TimeUnits units = time_units(readings.drive);
  if (units.are_seconds()) return check_log_in_seconds(readings, options);
  LogCheck check = check_log_in_seconds(in_seconds(readings, units), options);
  const std::vector<Finding> findings = time_findings(units, readings.drive);
  check.findings.insert(check.findings.begin(), findings.begin(), findings.end());
  return check;
}

}  // namespace wainscot
