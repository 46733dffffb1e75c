#include "graph/check/motion_events.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

#include "core/angles.hpp"

namespace wainscot {
namespace {

constexpr double kSlipChiSquared = 50.0;  // not noise, whatever its shape (as in graph/track/keyframes)

/// A stretch of consecutive strides that disagree.
struct Slip {
  double begin_s = 0.0;
  double end_s = 0.0;
  double wheel_way_m = 0.0;
  double wheel_turn_rad = 0.0;
  double lidar_way_m = 0.0;
  double lidar_turn_rad = 0.0;
  double turn_rad = 0.0;
  Eigen::Vector2d shift_m = Eigen::Vector2d::Zero();
  double chi_squared = 0.0;
};

void set_place(double wheel_s, const OdometryPath& path, Finding& finding) {
  finding.time_s = wheel_s;
  finding.place = path.pose_at(wheel_s);
}

Finding told(const Slip& slip, const OdometryPath& path) {
  constexpr double kStands = 0.25;      // of what the wheels did
  constexpr double kLeverM = 0.3;       // a turn's worth in metres
  constexpr int kDegreesOfFreedom = 3;  // of a pose in the plane
  const double wheels = slip.wheel_way_m + kLeverM * slip.wheel_turn_rad;
  const double lidar = slip.lidar_way_m + kLeverM * slip.lidar_turn_rad;
  const bool stuck = wheels > 0.1 && lidar < kStands * wheels;
  Finding finding;
  finding.fault = stuck ? Fault::stuck : Fault::slip;
  finding.what = stuck ? "the wheels turned and the robot stood: stuck" : "the wheels slipped";
  finding.figure = sentence("%.1f s: wheels %.2f m and %.0f°, lidar %.2f m and %.0f°; %.2f m and %.0f° apart",
                            slip.end_s - slip.begin_s, slip.wheel_way_m, kDegreesPerRadian * slip.wheel_turn_rad,
                            slip.lidar_way_m, kDegreesPerRadian * slip.lidar_turn_rad, slip.shift_m.norm(),
                            kDegreesPerRadian * std::abs(slip.turn_rad));
  finding.confidence = confidence_of(slip.chi_squared, kDegreesOfFreedom);
  finding.act = stuck ? "clear what holds the robot there, stop before the motors stall, and drive that part again"
                      : "drive over that place slowly or around it";
  set_place(slip.begin_s, path, finding);
  return finding;
}

bool matters(const StrideResidual& r) {
  return r.chi_squared >= kSlipChiSquared && (r.shift_m.norm() > kSlipM || std::abs(r.turn_rad) > kSlipRad);
}

/// Whether that stride's residual matters by this fit too; so does a stride of which the fit knows nothing.
bool matters_in(const RobotFit& fit, std::size_t stride) {
  const auto by_stride = [](const StrideResidual& r, std::size_t wanted) { return r.stride < wanted; };
  const auto same = std::lower_bound(fit.residuals.begin(), fit.residuals.end(), stride, by_stride);
  return same == fit.residuals.end() || same->stride != stride || matters(*same);
}

std::vector<Slip> slips(const std::vector<LidarStride>& strides, const RobotFit& fit,
                        const std::vector<RobotFit>& by_other_clocks, const ClockFit& clock, const OdometryPath& path,
                        const ScanWitness* witness) {
  const auto claimed_over = [&](double begin_s, double end_s) {
    return between(path.pose_at(clock.wheel_time_s(begin_s)), path.pose_at(clock.wheel_time_s(end_s)));
  };
  std::vector<Slip> found;
  std::size_t last = 0;
  for (const StrideResidual& r : fit.residuals) {
    if (!matters(r)) continue;
    const auto also = [&r](const RobotFit& other) { return matters_in(other, r.stride); };
    if (!std::all_of(by_other_clocks.begin(), by_other_clocks.end(), also)) continue;
    const LidarStride& stride = strides[r.stride];
    const Pose2 claimed = claimed_over(stride.begin_s, stride.end_s);
    if (witness != nullptr &&
        (witness->bears_out(stride.from, stride.to, claimed, stride.motion) ||
         !witness->confirms(stride.from, stride.to, stride.motion) || !witness->lasts(stride, claimed_over))) {
      continue;
    }
    if (found.empty() || r.stride > last + 1) {
      found.emplace_back();
      found.back().begin_s = clock.wheel_time_s(stride.begin_s);
    }
    last = r.stride;
    Slip& slip = found.back();
    slip.end_s = clock.wheel_time_s(stride.end_s);
    slip.wheel_way_m += claimed.translation().norm();  // not along the rows: poses of two sources go back and forth
    slip.wheel_turn_rad += std::abs(r.wheel_turn_rad);
    slip.lidar_way_m += stride.motion.translation().norm();
    slip.lidar_turn_rad += std::abs(stride.motion.heading_rad);
    slip.turn_rad += r.turn_rad;
    slip.shift_m += r.shift_m;
    slip.chi_squared += r.chi_squared;
  }
  return found;
}

/// A stretch in which the wheels stood and what the lidar sees changed.
struct Carried {
  double begin_s = 0.0;
  double end_s = 0.0;
  std::size_t from = 0, to = 0;  // its first and last scan
  int steps = 0;
  int unsure = 0;
  Pose2 moved;
};

std::vector<Carried> carried_stretches(const LidarMotion& motion, const RobotFit& fit, const WheelSeries& wheels,
                                       const ClockFit& clock) {
  // Chosen by hand: some ticks of wheels in the hand; between scans a slow robot rolls centimetres.
  constexpr double kStillM = 0.002;
  std::vector<Carried> found;
  bool going_on = false;
  for (const LidarStride& step : motion.steps) {
    const double from = clock.wheel_time_s(step.begin_s);
    const double to = clock.wheel_time_s(step.end_s);
    const CountPair change = wheels.change(from, to);
    const double rolled = std::abs(change.left * fit.left_m_per_tick) + std::abs(change.right * fit.right_m_per_tick);
    if (from < wheels.begin_s() || to > wheels.end_s() || wheels.is_unknown(from, to) || rolled > kStillM) {
      going_on = false;
      continue;
    }
    if (!going_on) {
      found.emplace_back();
      found.back().begin_s = from;
      found.back().from = step.from;
      going_on = true;
    }
    Carried& stretch = found.back();
    stretch.end_s = to;
    stretch.to = step.to;
    ++stretch.steps;
    if (step.sure) stretch.moved = stretch.moved * step.motion;
    if (!step.sure) ++stretch.unsure;
  }
  return found;
}

bool is_lifted(const Carried& stretch) {
  // Chosen by hand: matches of a robot at rest may drift by centimetres. Half as much calls more of that a lift; twice
  // as much misses a robot that is put down beside where it stood. Or five scans and more of which most could not be
  // matched.
  constexpr double kMovedM = 0.15;
  constexpr double kMovedRad = 0.15;
  constexpr int kUnsure = 5;
  return stretch.moved.translation().norm() > kMovedM || std::abs(stretch.moved.heading_rad) > kMovedRad ||
         (stretch.unsure >= kUnsure && 2 * stretch.unsure > stretch.steps);
}

/// Wheels that are held for a moment let the robot slide on; nobody lifts it in so short a time.
bool is_slide(const Carried& stretch) {
  // Chosen by hand: half as much calls slides lifts, twice as much calls quick lifts slides.
  constexpr double kShortS = 1.5;
  return stretch.end_s - stretch.begin_s < kShortS;
}

Finding told(const Carried& stretch, const OdometryPath& path) {
  Finding finding;
  if (is_slide(stretch)) {
    finding.fault = Fault::slip;
    finding.what = "the wheels stood and the robot slid on";
    finding.figure =
        sentence("for %.1f s, %.2f m and %.0f° by the lidar", stretch.end_s - stretch.begin_s,
                 stretch.moved.translation().norm(), kDegreesPerRadian * std::abs(stretch.moved.heading_rad));
    finding.confidence = 0.999;
    finding.act = "drive over that place slowly or around it";
    set_place(stretch.begin_s, path, finding);
    return finding;
  }
  finding.fault = Fault::lifted;
  finding.what = "the robot was lifted or pushed: its wheels stood while the view changed";
  finding.figure =
      sentence("for %.1f s; %d of %d scans fit the one before badly, the others moved %.2f m and %.0f°",
               stretch.end_s - stretch.begin_s, stretch.unsure, stretch.steps, stretch.moved.translation().norm(),
               kDegreesPerRadian * std::abs(stretch.moved.heading_rad));
  finding.confidence = 0.999;
  finding.act = "leave the robot on the floor during a drive; build bridges this loosely until a known place comes";
  set_place(stretch.begin_s, path, finding);
  return finding;
}

}  // namespace

std::vector<Finding> motion_events(const LidarMotion& motion, const std::vector<LidarStride>& strides,
                                   const RobotFit& fit, const std::vector<RobotFit>& by_other_clocks,
                                   const WheelSeries& wheels, const ClockFit& clock, const OdometryPath& path,
                                   const ScanWitness* witness) {
  std::vector<Finding> findings;
  for (const Slip& slip : slips(strides, fit, by_other_clocks, clock, path, witness))
    findings.push_back(told(slip, path));
  for (const Carried& stretch : carried_stretches(motion, fit, wheels, clock)) {
    if (!is_lifted(stretch)) continue;
    if (witness != nullptr && witness->bears_out(stretch.from, stretch.to, {}, stretch.moved)) continue;
    if (witness != nullptr && is_slide(stretch) && !witness->confirms(stretch.from, stretch.to, stretch.moved))
      continue;
    // What it does to the strides around it is no event of its own.
    std::erase_if(findings, [&](const Finding& finding) {
      return *finding.time_s > stretch.begin_s - 2.0 && *finding.time_s < stretch.end_s + 1.0;
    });
    findings.push_back(told(stretch, path));
  }
  std::stable_sort(findings.begin(), findings.end(),
                   [](const Finding& a, const Finding& b) { return *a.time_s < *b.time_s; });
  return findings;
}

}  // namespace wainscot
