#include "graph/check/log_check.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include <Eigen/Dense>

#include "core/errors.hpp"
#include "core/odometry.hpp"
#include "graph/check/explanation.hpp"
#include "graph/check/motion_events.hpp"
#include "graph/check/range_faults.hpp"
#include "graph/constants.hpp"
#include "graph/motion/clock_fit.hpp"
#include "graph/motion/lidar_motion.hpp"
#include "graph/motion/robot_fit.hpp"
#include "graph/motion/sweep_fit.hpp"

namespace wainscot {
namespace {

constexpr double kDegrees = 180.0 / std::numbers::pi;

class Checker {
 public:
  Checker(const LogReadings& readings, const LogCheckOptions& options)
      : readings_(readings), options_(options), work_(readings.drive) {}

  LogCheck run() {
    require_motion();
    check_log_alone();
    tell_progress(0.1);
    follow();
    tell_progress(0.6);
    check_sweep();
    tell_progress(0.85);
    check_scans();
    check_clocks();
    if (related_) check_robot();
    result_.mended = work_.robot;
    return std::move(result_);
  }

 private:
  void tell_progress(double fraction) const {
    if (options_.progress) options_.progress(fraction);
  }

  Robot& robot() { return work_.robot; }

  Finding& add(Fault fault, std::string what, std::string figure, double confidence,
               const std::vector<std::string>& keys = {}, std::string act = {}) {
    Finding finding;
    finding.fault = fault;
    finding.what = std::move(what);
    finding.figure = std::move(figure);
    finding.confidence = confidence;
    for (const std::string& key : keys) finding.lines.push_back(robot_line(robot(), key));
    finding.act = std::move(act);
    result_.findings.push_back(std::move(finding));
    return result_.findings.back();
  }

  void require_motion() {
    if (odometry_steps(readings_.drive).empty()) {
      throw PoorData("the drive has fewer than two rows of odometry; record wheels and scans together");
    }
    result_.contents = log_contents(readings_.drive);
    // As logged: read with a wrong unit hardly any may be left.
    Drive logged;
    logged.scans = readings_.logged;
    result_.contents.returns_per_scan = log_contents(logged).returns_per_scan;
  }

  /// Rows, counters and ranges.
  void check_log_alone() {
    const Drive* narrow = readings_.with_16_bits ? &*readings_.with_16_bits : nullptr;
    result_.findings = log_findings(readings_.drive, result_.contents, narrow);
    for (const Finding& finding : result_.findings) {
      if (finding.fault == Fault::dead_counter) related_ = false;
      if (finding.fault != Fault::counter_wraps) continue;
      work_.wheels = narrow->wheels;
      work_.breaks = narrow->breaks;
      robot().drive->counter_bits = narrow->robot.drive->counter_bits;
    }
    for (Finding& finding : range_findings(readings_.logged, work_, robot())) {
      result_.findings.push_back(std::move(finding));
    }
    work_.scans = read_as(readings_.logged, robot().lidar);
    scans_ = turn_scans(work_.scans, robot().lidar);
    if (scans_.scans.size() < 8 || scans_.turn_s <= 0.0) {
      throw PoorData(
          sentence("only %zu of %zu scans hold 20 returns or more between min_range_m and max_range_m: that "
                   "tells nothing; look at the lidar, or record a longer drive",
                   scans_.scans.size(), readings_.logged.size()));
    }
  }

  void follow() {
    motion_options_.sweep_s = scans_.stated_s;
    motion_options_.threads = options_.threads;
    motion_ = follow_lidar(scans_, robot().lidar, motion_options_);
    double turned = 0.0;
    double way = 0.0;
    for (const LidarStride& step : motion_.steps) {
      if (!step.sure) continue;
      turned += std::abs(step.motion.heading_rad);
      way += step.motion.translation().norm();
    }
    constexpr double kHardly = 0.3;  // m, rad
    if (std::max(result_.contents.way_m, result_.contents.turned_rad) < kHardly && way + turned < 10.0 * kHardly) {
      throw PoorData(
          "the robot hardly moved: a check needs a drive of some metres with some turns; drive a square, or through a "
          "room and back");
    }
  }

  void check_sweep() {
    const SweepFit fit = fit_sweep(scans_, motion_, robot().lidar, options_.threads);
    if (fit.pairs == 0) {
      result_.notes.emplace_back(
          "The robot never began or ended a turn where its scans fit one another: the time of a sweep could not be "
          "checked");
      return;
    }
    constexpr double kMotor = 0.05;  // a hobby lidar's motor is off by so much
    const double sd = std::hypot(fit.sd_s, kMotor * scans_.turn_s);
    const double z = (fit.sweep_s - scans_.stated_s) / sd;
    // A flat misfit has its least somewhere: the scans themselves must fit surely better there.
    constexpr double kSurely = 5.0;
    if (z * z <= fault_gate(1) || fit.better < kSurely) {
      result_.constants.push_back({"lidar.sweep_s", "s", scans_.stated_s, fit.sweep_s, fit.sd_s});
      return;
    }
    const std::string figure = sentence(
        "scans taken at different turn rates fit one another to %.0f mm with %.3f s, to %.0f mm as stated; "
        "standard uncertainty %.3f s, %zu pairs",
        1e3 * fit.misfit_m, fit.sweep_s, 1e3 * fit.stated_misfit_m, fit.sd_s, fit.pairs);
    if (fit.sweep_s < 0.0) {
      add(Fault::firing_order, "the beams are fired in the opposite order", figure, confidence_of(z * z, 1), {},
          "list the beams in the order of firing: turn the order of the columns of scans.csv round (their headings "
          "stay with them); for returns.csv, look at how the rows are stamped");
    } else {
      const bool at_once = fit.sweep_s < 4.0 * fit.sd_s + kMotor * scans_.turn_s;
      robot().lidar.sweep_s = at_once ? 0.0 : fit.sweep_s;
      add(Fault::sweep_time, "the time of a turn is not what robot.yaml says", figure, confidence_of(z * z, 1),
          {"lidar.sweep_s"});
    }
    motion_options_.sweep_s = fit.sweep_s;
    motion_ = follow_lidar(scans_, robot().lidar, motion_options_);
  }

  /// What the lidar could see, and whether it was turned too fast for it.
  void check_scans() {
    constexpr double kFew = 0.3;
    const auto all = static_cast<double>(readings_.logged.size());
    const auto used = static_cast<double>(scans_.scans.size());
    const auto unsure =
        static_cast<double>(std::count_if(motion_.steps.begin(), motion_.steps.end(), [](auto& s) { return !s.sure; }));
    if (used < (1.0 - kFew) * all || unsure > kFew * used) {
      add(Fault::too_little_seen, "too little is seen",
          sentence(
              "%.0f %% of the scans hold fewer than 20 returns, %.0f %% of the others do not fit the one before or "
              "show walls in one direction only",
              100.0 * (1.0 - used / all), 100.0 * unsure / used),
          0.99, {}, "drive nearer to walls, and look at min_range_m, max_range_m and blind_deg in robot.yaml");
    }
    constexpr double kTooFarRad = 0.52;  // 30 degrees within a sweep: 1 % of it off is 2 cm at 4 m
    constexpr double kShare = 0.01;
    double fast = 0.0;
    double most = 0.0;
    for (const Tangent2& velocity : motion_.velocities) {
      const double smear = std::abs(velocity.z() * motion_options_.sweep_s) * scans_.turns;
      fast += smear > kTooFarRad ? 1.0 : 0.0;
      most = std::max(most, smear);
    }
    if (fast > std::max(5.0, kShare * used)) {
      add(Fault::too_fast, "the robot turns too fast for its lidar",
          sentence("%.0f %% of the scans are smeared over more than 30°, the worst over %.0f°", 100.0 * fast / used,
                   kDegrees * most),
          0.99, {},
          sentence("turn at %.0f° a second at most", std::floor(0.5 * kDegrees * kTooFarRad / scans_.turn_s)));
    }
  }

  void check_clocks() {
    const WheelSeries wheels(work_);
    clock_ = fit_clock(motion_.steps, wheels);
    constexpr double kLittleRad = 1.0;
    double turned = 0.0;
    for (const LidarStride& step : motion_.steps) turned += step.sure ? std::abs(step.motion.heading_rad) : 0.0;
    if (clock_.steps == 0 || turned < kLittleRad) {
      related_ = false;
      result_.notes.emplace_back(
          "The robot hardly turned, or too few scans fit one another: wheels and scans could not be compared; drive a "
          "square, or through a room and back");
      return;
    }
    constexpr double kMostly = 0.5;
    if (related_ && clock_.explained < kMostly) {
      related_ = false;
      add(Fault::unrelated, "wheels and scans tell of different motions",
          sentence("of the lidar's turns the wheels explain %.0f %% at any shift up to 15 s", 100.0 * clock_.explained),
          0.99, {},
          "look whether both files are of one drive and one clock, whether both counters count (turn each wheel by "
          "hand) "
          "and whether the wheels stand on the floor");
    }
    if (related_) judge_clocks();
  }

  void judge_clocks() {
    constexpr double kStampSdS = 0.03;  // half a turn of a slow lidar, a busy computer
    const double drift_prior = std::sqrt(constant_prior(work_)(kClockRate, kClockRate));
    const double z_drift = clock_.drift / std::hypot(clock_.drift_sd, drift_prior);
    const double z_offset = clock_.offset_s / std::hypot(clock_.offset_sd_s, kStampSdS);
    LidarConstants& lidar = robot().lidar;
    result_.constants.push_back(
        {"lidar.time_offset_s", "s", lidar.time_offset_s, lidar.time_offset_s + clock_.offset_s, clock_.offset_sd_s});
    const std::string figure = sentence(
        "turns agree best when the lidar's times are moved by %.3f s (standard uncertainty %.3f s), growing by "
        "%.0f ms a minute; then the wheels explain %.1f %% of the lidar's turns",
        clock_.offset_s, clock_.offset_sd_s, 6e4 * clock_.drift, 100.0 * clock_.explained);
    if (z_drift * z_drift > fault_gate(1)) {
      lidar.clock_rate *= 1.0 + clock_.drift;
      lidar.time_offset_s += clock_.wheel_time_s(readings_.logged.front().time_s) - readings_.logged.front().time_s;
      add(Fault::clock_drift, "the lidar's clock runs at another rate than the wheels'", figure,
          confidence_of(z_drift * z_drift, 1), {"lidar.clock_rate", "lidar.time_offset_s"},
          "better still, stamp both by the robot computer's one clock");
    } else if (z_offset * z_offset > fault_gate(1)) {
      lidar.time_offset_s += clock_.offset_s;
      add(Fault::clock_offset, "the lidar's times are off against the wheels'", figure,
          confidence_of(z_offset * z_offset, 1), {"lidar.time_offset_s"});
    }
  }

  /// Whether the gyro turns the way the lidar's scans say.
  std::optional<bool> gyro_agreement(const std::vector<LidarStride>& strides) const {
    constexpr double kClear = 0.8;
    if (work_.gyro.size() < 2) return std::nullopt;
    double gg = 0.0;
    double ll = 0.0;
    double gl = 0.0;
    for (const LidarStride& stride : strides) {
      if (!stride.sure) continue;
      const double from = clock_.wheel_time_s(stride.begin_s);
      const double to = clock_.wheel_time_s(stride.end_s);
      double turn = 0.0;
      const auto before = [](const YawRate& row, double t) { return row.time_s < t; };
      for (auto row = std::lower_bound(work_.gyro.begin(), work_.gyro.end(), from, before);
           row != work_.gyro.end() && row + 1 != work_.gyro.end() && row->time_s < to; ++row) {
        turn += row->yaw_rate_rad_s * ((row + 1)->time_s - row->time_s);
      }
      turn *= work_.robot.gyro.sign;
      gg += turn * turn;
      ll += stride.motion.heading_rad * stride.motion.heading_rad;
      gl += turn * stride.motion.heading_rad;
    }
    if (gl * gl < kClear * kClear * gg * ll) return std::nullopt;
    return gl > 0.0;
  }

  void check_robot() {
    const std::vector<LidarStride> strides = long_strides(scans_, motion_, robot().lidar, motion_options_);
    const WheelSeries wheels(work_);
    const RobotFit fit = fit_robot(strides, wheels, clock_);
    if (fit.strides == 0) return;
    const std::optional<bool> gyro_agrees = gyro_agreement(strides);
    const std::vector<Explanation> all = explanations(fit, work_, gyro_agrees);
    add_signs(all, fit, gyro_agrees);
    add_mounting(all.front(), fit);
    add_scales(all.front(), fit);
    Drive found = work_;
    if (found.robot.drive && !work_.wheels.empty()) {
      found.robot.drive->left_m_per_tick = fit.left_m_per_tick;
      found.robot.drive->right_m_per_tick = fit.right_m_per_tick;
      found.robot.drive->track_width_m = fit.track_width_m;
    }
    found.robot.lidar.x_m = fit.mounting.x_m;
    found.robot.lidar.y_m = fit.mounting.y_m;
    found.robot.lidar.heading_deg = kDegrees * fit.mounting.heading_rad;
    const OdometryPath path(odometry_steps(found), {});
    for (Finding& event : motion_events(motion_, strides, fit, wheels, clock_, path)) {
      result_.findings.push_back(std::move(event));
    }
    result_.closing = closing_error(readings_.drive, found, scans_, motion_, motion_options_.sweep_s, clock_);
  }

  void add_signs(const std::vector<Explanation>& all, const RobotFit& fit, std::optional<bool> gyro_agrees) {
    const Explanation& best = all.front();
    const bool wheels = !work_.wheels.empty();
    // Any other reading with as few faults cannot be told from this one.
    const auto rival = std::find_if(all.begin() + 1, all.end(), [&](const Explanation& e) {
      return e.faults < best.faults + 0.25 && e.mirrored != best.mirrored && !e.left_backwards == !best.left_backwards;
    });
    const bool tie = rival != all.end() && (best.mirrored || best.swapped);
    const double sure = tie ? 0.5 : sign_confidence(fit);
    if (best.mirrored) {
      forget_body();
      robot().lidar.mirrored = !robot().lidar.mirrored;
      Finding& finding = add(Fault::mirrored, "the lidar's angles run the other way round",
                             "the lidar turns against the wheels" + turns_figure(fit), sure, {"lidar.mirrored"});
      if (tie) {
        finding.or_else = Fault::swapped;
        finding.act = wheels
                          ? "or the wheels' columns are exchanged: a lidar in the middle that looks ahead cannot tell. "
                            "Turn the left wheel forward by hand: if right_ticks counts, exchange left_ticks and "
                            "right_ticks in wheels.csv instead; or build both ways and look which map is your home "
                            "and which its mirror image"
                          : "or odometry.csv is mirrored (its headings run clockwise): then negate y_m and heading_rad "
                            "there instead; build both ways and look which map is your home";
      }
    }
    if (best.swapped) {
      add(Fault::swapped, wheels ? "left and right wheel are exchanged" : "odometry.csv is mirrored",
          "the lidar turns against the wheels" + turns_figure(fit), sure, {},
          wheels ? "exchange the headings left_ticks and right_ticks in wheels.csv, and the plugs for the next drive"
                 : "negate y_m and heading_rad in odometry.csv");
    }
    add_backwards(best, fit, sure);
    if (gyro_agrees && *gyro_agrees == best.mirrored) {
      robot().gyro.sign = -robot().gyro.sign;
      add(Fault::gyro_sign, "the gyro turns against wheels and lidar", "its turns have the other sign", sure,
          {"gyro.sign"});
    }
  }

  /// Sectors of a lidar that was read the wrong way round lie elsewhere: the next check finds them.
  void forget_body() {
    robot().lidar.blind_deg = readings_.drive.robot.lidar.blind_deg;
    std::erase_if(result_.findings, [](const Finding& finding) { return finding.fault == Fault::body_in_view; });
  }

  void add_backwards(const Explanation& best, const RobotFit& fit, double sure) {
    if (!best.left_backwards && !best.right_backwards) return;
    const bool both = best.left_backwards && best.right_backwards;
    const Fault fault = both                  ? Fault::both_backwards
                        : best.left_backwards ? Fault::left_backwards
                                              : Fault::right_backwards;
    const char* which = both                  ? "both wheels count"
                        : best.left_backwards ? "the left wheel counts"
                                              : "the right wheel counts";
    std::vector<std::string> keys;
    if (robot().drive && !work_.wheels.empty()) {
      DriveConstants& drive = *robot().drive;
      if (best.left_backwards) drive.left_m_per_tick = -drive.left_m_per_tick;
      if (best.right_backwards) drive.right_m_per_tick = -drive.right_m_per_tick;
      if (best.left_backwards) keys.emplace_back("drive.left_m_per_tick");
      if (best.right_backwards) keys.emplace_back("drive.right_m_per_tick");
    }
    add(fault, std::string(which) + " the other way than robot.yaml says",
        sentence("found: left %.4g m a tick, right %.4g m a tick, %zu strides", fit.left_m_per_tick,
                 fit.right_m_per_tick, fit.strides),
        sure, keys, keys.empty() ? "negate what odometry.csv says of the way driven" : "");
  }

  static double sign_confidence(const RobotFit& fit) {
    const double sd = std::sqrt(std::max(fit.scale_covariance(0, 0), fit.scale_covariance(1, 1)));
    return confidence_of(1.0 / (sd * sd), 1);
  }

  std::string turns_figure(const RobotFit& fit) const {
    return sentence(" (%zu strides, %.1f turns in all)", fit.strides, fit.turned_rad / (2.0 * std::numbers::pi));
  }

  void add_mounting(const Explanation& best, const RobotFit& fit) {
    LidarConstants& lidar = robot().lidar;
    const Pose2& m = best.mounting;
    const double sd_deg = kDegrees * std::sqrt(fit.mounting_covariance(2, 2));
    const double sd_x = std::sqrt(fit.mounting_covariance(0, 0));
    const double sd_y = std::sqrt(fit.mounting_covariance(1, 1));
    result_.constants.push_back({"lidar.x_m", "m", lidar.x_m, m.x_m, sd_x});
    result_.constants.push_back({"lidar.y_m", "m", lidar.y_m, m.y_m, sd_y});
    const double heading_deg = lidar.heading_deg + kDegrees * best.turned_rad;
    result_.constants.push_back({"lidar.heading_deg", "°", lidar.heading_deg, heading_deg, sd_deg});
    if (best.turned) {
      lidar.heading_deg = kDegrees * m.heading_rad;
      add(Fault::lidar_turned,
          sentence("the lidar is turned by %.1f° from where robot.yaml has it", kDegrees * best.turned_rad),
          sentence("heading %.1f°, standard uncertainty %.2f°, by the direction in which the robot drives",
                   lidar.heading_deg, sd_deg),
          confidence_of(std::pow(best.turned_rad / best.turned_sd_rad, 2), 1), {"lidar.heading_deg"});
    }
    if (best.displaced) {
      lidar.x_m = m.x_m;
      lidar.y_m = m.y_m;
      add(Fault::lidar_displaced,
          sentence("the lidar sits %.0f mm from where robot.yaml has it", 1e3 * best.displaced_m),
          sentence("found at x %.3f m, y %.3f m, standard uncertainties %.3f m and %.3f m, by how it moves in turns",
                   m.x_m, m.y_m, sd_x, sd_y),
          confidence_of(best.displaced_chi_squared, 2), {"lidar.x_m", "lidar.y_m"});
    }
  }

  void add_scales(const Explanation& best, const RobotFit& fit) {
    using enum ScaleFault;
    if (!work_.wheels.empty()) add_drive_constants(best, fit);
    if (best.scale == none) return;
    const double sure = confidence_of(best.scale_chi_squared, 3);
    if (best.scale == ranges) return add_range_factor(best.range_factor, sure);
    const bool width_off = best.scale == width || best.scale == left_and_width || best.scale == right_and_width ||
                           best.scale == ticks_and_width || best.scale == all;
    if (work_.wheels.empty()) return add_odometry_factors(best, width_off, sure);
    DriveConstants& drive = *robot().drive;
    const auto change = [&](Fault fault, const char* what, double DriveConstants::*constant, double value,
                            const std::string& key) {
      const double factor = value / (drive.*constant);
      drive.*constant = value;
      add(fault, what, sentence("it is %.4f of what robot.yaml says", factor), sure, {key});
    };
    if (best.scale == ticks || best.scale == ticks_and_width) {
      const double factor = best.left_m_per_tick / drive.left_m_per_tick;
      drive.left_m_per_tick = best.left_m_per_tick;
      drive.right_m_per_tick = best.right_m_per_tick;
      add(Fault::both_ticks, "both tick constants are off by one factor",
          sentence("they are %.4f of what robot.yaml says", std::abs(factor)), sure,
          {"drive.left_m_per_tick", "drive.right_m_per_tick"},
          "look at the wheels' diameter and the counts of one turn");
    }
    if (best.scale == left || best.scale == left_and_width || best.scale == all) {
      change(Fault::left_tick, "the left tick constant is off", &DriveConstants::left_m_per_tick, best.left_m_per_tick,
             "drive.left_m_per_tick");
    }
    if (best.scale == right || best.scale == right_and_width || best.scale == all) {
      change(Fault::right_tick, "the right tick constant is off", &DriveConstants::right_m_per_tick,
             best.right_m_per_tick, "drive.right_m_per_tick");
    }
    if (width_off) {
      change(Fault::track_width, "the track width is off", &DriveConstants::track_width_m, best.track_width_m,
             "drive.track_width_m");
    }
  }

  void add_drive_constants(const Explanation& best, const RobotFit& fit) {
    const DriveConstants& drive = *robot().drive;
    const Eigen::Vector3d sd = fit.scale_covariance.diagonal().cwiseSqrt();
    const double l = std::abs(best.swapped ? fit.right_m_per_tick : fit.left_m_per_tick);
    const double r = std::abs(best.swapped ? fit.left_m_per_tick : fit.right_m_per_tick);
    const auto like = [](double value, double sign) { return sign < 0.0 ? -value : value; };
    result_.constants.push_back(
        {"drive.left_m_per_tick", "m", drive.left_m_per_tick, like(l, drive.left_m_per_tick), sd(0) * l});
    result_.constants.push_back(
        {"drive.right_m_per_tick", "m", drive.right_m_per_tick, like(r, drive.right_m_per_tick), sd(1) * r});
    result_.constants.push_back(
        {"drive.track_width_m", "m", drive.track_width_m, fit.track_width_m, sd(2) * fit.track_width_m});
  }

  void add_range_factor(double factor, double sure) {
    LidarConstants& lidar = robot().lidar;
    const double tens = std::round(std::log10(factor));
    const std::string figure = sentence("ranges are %.4f of the way that the wheels say", 1.0 / factor);
    if (tens != 0.0 && std::abs(std::log10(factor) - tens) < 0.05) {
      lidar.range_unit_m *= std::pow(10.0, tens);
      add(Fault::range_unit, "ranges are logged in another unit", figure, sure, {"lidar.range_unit_m"});
      return;
    }
    lidar.range_scale *= factor;
    add(Fault::range_scale, "ranges and wheels do not agree by a factor", figure, sure, {"lidar.range_scale"},
        "or all three wheel constants are off by that factor: measure one long wall with a tape");
  }

  void add_odometry_factors(const Explanation& best, bool width_off, double sure) {
    if (best.scale != ScaleFault::width) {
      const double factor = std::abs(best.left_m_per_tick);
      add(Fault::both_ticks, "odometry.csv's way is off by a factor", sentence("it has to be %.4f of itself", factor),
          sure, {}, "mend the constant in the program that writes odometry.csv");
    }
    if (width_off) {
      add(Fault::track_width, "odometry.csv's turns are off by a factor",
          sentence("they have to be %.4f of themselves", track_width_m(work_.robot) / best.track_width_m), sure, {},
          "mend the track width in the program that writes odometry.csv");
    }
  }

  const LogReadings& readings_;
  LogCheckOptions options_;
  Drive work_;  ///< with what was found mended
  TurnScans scans_;
  LidarMotionOptions motion_options_;
  LidarMotion motion_;
  ClockFit clock_;
  bool related_ = true;  ///< wheels and scans can be compared
  LogCheck result_;
};

}  // namespace

LogCheck check_log(const LogReadings& readings, const LogCheckOptions& options) {
  return Checker(readings, options).run();
}

}  // namespace wainscot
