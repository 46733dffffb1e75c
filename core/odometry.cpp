#include "core/odometry.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <span>

#include <Eigen/Dense>

#include "core/median.hpp"
#include "core/rolled_way.hpp"

namespace wainscot {
namespace {

// Far beyond any step: nothing is known of it, and matrices can still be inverted. Ten times as much does the same.
constexpr double kUnknownSdM = 100.0;

/// Turn by the wheels' heading noise over one step, where the gyro has no say.
double wheel_turn_variance(const OdometryNoise& noise, const Tangent2& motion) {
  const double way = motion.head<2>().norm();
  return noise.sd_rad_per_sqrt_rad * noise.sd_rad_per_sqrt_rad * std::abs(motion.z()) +
         noise.sd_rad_per_sqrt_m * noise.sd_rad_per_sqrt_m * way;
}

/// `both_m2`: variance of the two wheels' ways together, by what their counts leave open.
void set_count_variances(double both_m2, double width_m, OdometryStep& step) {
  step.count_variance_m2 = 0.25 * both_m2;
  step.count_turn_variance_rad2 = both_m2 / (width_m * width_m);
}

std::vector<OdometryStep> wheel_steps(const std::vector<WheelCounts>& wheels, const DriveConstants& constants) {
  // At each row a wheel is anywhere within its tick, tick^2 / 12; of what lies evenly between two rows that err
  // independently, the mean variance is two thirds of that.
  const double both_m2 = (constants.left_m_per_tick * constants.left_m_per_tick +
                          constants.right_m_per_tick * constants.right_m_per_tick) /
                         18.0;
  std::vector<OdometryStep> steps;
  steps.reserve(wheels.size() - 1);
  for (std::size_t i = 1; i < wheels.size(); ++i) {
    const double left =
        static_cast<double>(wheels[i].left_ticks - wheels[i - 1].left_ticks) * constants.left_m_per_tick;
    const double right =
        static_cast<double>(wheels[i].right_ticks - wheels[i - 1].right_ticks) * constants.right_m_per_tick;
    OdometryStep step;
    step.begin_s = wheels[i - 1].time_s;
    step.end_s = wheels[i].time_s;
    step.motion = {0.5 * (left + right), 0.0, (right - left) / constants.track_width_m};
    set_count_variances(both_m2, constants.track_width_m, step);
    steps.push_back(step);
  }
  return steps;
}

/// The steps between two rows of a smoothed motion: several where the rows are far apart, since speeds change between.
void add_smooth_steps(const std::array<RolledWay, 2>& from, const std::array<RolledWay, 2>& to, double width_m,
                      std::vector<OdometryStep>& steps) {
  constexpr double kLongestS = 0.05;  // 20 Hz: counts at this rate are not coarse
  const double dt = to[0].time_s - from[0].time_s;
  const int pieces = std::max(1, static_cast<int>(std::ceil(dt / kLongestS - 0.5)));
  std::array<RolledWay, 2> last = from;
  for (int piece = 1; piece <= pieces; ++piece) {
    std::array<RolledWay, 2> next = to;
    const double time_s = std::lerp(from[0].time_s, to[0].time_s, static_cast<double>(piece) / pieces);
    for (std::size_t wheel = 0; wheel < 2 && piece < pieces; ++wheel) {
      next[wheel] = rolled_between(from[wheel], to[wheel], time_s);
    }
    const double left = next[0].way_m - last[0].way_m;
    const double right = next[1].way_m - last[1].way_m;
    OdometryStep step;
    step.begin_s = last[0].time_s;
    step.end_s = next[0].time_s;
    step.motion = {0.5 * (left + right), 0.0, (right - left) / width_m};
    const double both_m2 =
        0.5 * (last[0].variance_m2 + next[0].variance_m2 + last[1].variance_m2 + next[1].variance_m2);
    set_count_variances(both_m2, width_m, step);
    steps.push_back(step);
    last = next;
  }
}

/// Of coarse counts; nothing is known across `breaks` (ascending or not, as Drive has them).
std::vector<OdometryStep> smooth_steps(const std::vector<WheelCounts>& wheels, const DriveConstants& constants,
                                       std::vector<std::size_t> breaks) {
  std::vector<OdometryStep> steps;
  std::sort(breaks.begin(), breaks.end());
  breaks.push_back(wheels.size());
  std::size_t begin = 0;
  for (const std::size_t end : breaks) {
    if (end <= begin || end > wheels.size()) continue;
    const std::span<const WheelCounts> rows(wheels.data() + begin, end - begin);
    const std::vector<RolledWay> left = rolled_ways(rows, &WheelCounts::left_ticks, constants.left_m_per_tick);
    const std::vector<RolledWay> right = rolled_ways(rows, &WheelCounts::right_ticks, constants.right_m_per_tick);
    if (begin > 0) {
      OdometryStep across;
      across.begin_s = wheels[begin - 1].time_s;
      across.end_s = wheels[begin].time_s;
      across.unknown = true;
      steps.push_back(across);
    }
    for (std::size_t i = 1; i < rows.size(); ++i) {
      add_smooth_steps({left[i - 1], right[i - 1]}, {left[i], right[i]}, constants.track_width_m, steps);
    }
    begin = end;
  }
  return steps;
}

std::vector<OdometryStep> pose_steps(const std::vector<TimedPose>& poses) {
  std::vector<OdometryStep> steps;
  steps.reserve(poses.size() - 1);
  for (std::size_t i = 1; i < poses.size(); ++i) {
    OdometryStep step;
    step.begin_s = poses[i - 1].time_s;
    step.end_s = poses[i].time_s;
    Pose2 relative = between(poses[i - 1].pose, poses[i].pose);
    relative.heading_rad = wrap_angle(relative.heading_rad);
    step.motion = log(relative);
    steps.push_back(step);
  }
  return steps;
}

/// Steps by the wheels or the robot's own poses alone.
std::vector<OdometryStep> motion_steps(const Drive& drive) {
  std::vector<OdometryStep> steps;
  const bool counted = drive.wheels.size() >= 2 && drive.robot.drive;
  if (counted && counts_are_coarse(drive.wheels, *drive.robot.drive)) {
    return smooth_steps(drive.wheels, *drive.robot.drive, drive.breaks);
  }
  if (counted) {
    steps = wheel_steps(drive.wheels, *drive.robot.drive);
  } else if (drive.odometry.size() >= 2) {
    steps = pose_steps(drive.odometry);
  }
  // Counters that begin anew say nothing. A pose that jumps no farther than a robot is pushed or slides is the best
  // guess of where it went, though how far off that is remains unknown.
  constexpr double kPushedM = 1.0;
  for (std::size_t sample : drive.breaks) {
    if (sample == 0 || sample > steps.size()) continue;
    OdometryStep& step = steps[sample - 1];
    step.unknown = true;
    if (counted || step.motion.head<2>().norm() > kPushedM) step.motion.setZero();
  }
  return steps;
}

/// Each step's motion as its share of the time around it: between two counts a wheel's ticks come one by one, so that a
/// robot that drives straight ahead seems to turn to and fro.
std::vector<Tangent2> evened_motions(const std::vector<OdometryStep>& steps) {
  // Chosen by hand: at 0.2 m/s 6 cm are rolled in the window, 120 ticks of 0.5 mm. Half as much takes more of the
  // ticks' jitter for turning; twice as much smooths short turns.
  constexpr double kHalfWindowS = 0.15;
  std::vector<Tangent2> result;
  result.reserve(steps.size());
  Tangent2 sum = Tangent2::Zero();
  std::size_t begin = 0;
  std::size_t end = 0;
  for (const OdometryStep& step : steps) {
    while (end < steps.size() && steps[end].begin_s < step.end_s + kHalfWindowS) sum += steps[end++].motion;
    while (steps[begin].end_s <= step.begin_s - kHalfWindowS) sum -= steps[begin++].motion;
    const double span_s = steps[end - 1].end_s - steps[begin].begin_s;
    result.push_back(span_s > 0.0 ? Tangent2(sum * (step.end_s - step.begin_s) / span_s) : step.motion);
  }
  return result;
}

/// Integral of the yaw rate as logged, from the first sample to a time; constant beyond both ends.
class YawIntegral {
 public:
  explicit YawIntegral(const std::vector<YawRate>& gyro) : gyro_(gyro), integral_(gyro.size(), 0.0) {
    for (std::size_t i = 1; i < gyro.size(); ++i) {
      integral_[i] = integral_[i - 1] + 0.5 * (gyro[i].yaw_rate_rad_s + gyro[i - 1].yaw_rate_rad_s) *
                                            (gyro[i].time_s - gyro[i - 1].time_s);
    }
  }

  double at(double time_s) const {
    const auto after = std::upper_bound(gyro_.begin(), gyro_.end(), time_s,
                                        [](double t, const YawRate& sample) { return t < sample.time_s; });
    if (after == gyro_.begin()) return 0.0;
    const std::size_t i = static_cast<std::size_t>(after - gyro_.begin()) - 1;
    if (after == gyro_.end()) return integral_[i];
    const double dt = time_s - gyro_[i].time_s;
    const double slope = (after->yaw_rate_rad_s - gyro_[i].yaw_rate_rad_s) / (after->time_s - gyro_[i].time_s);
    return integral_[i] + dt * (gyro_[i].yaw_rate_rad_s + 0.5 * slope * dt);
  }

 private:
  const std::vector<YawRate>& gyro_;
  std::vector<double> integral_;
};

/// What the gyro reads when the robot stands or, where it hardly ever stands, when the wheels say that it hardly turns
/// (unequal wheels then mislead a little): the median over windows of half a second. nullopt: neither happens. A robot
/// that is carried does not stand though its wheels do: its gyro reads nothing like what it reads when driving
/// straight.
std::optional<double> gyro_bias(const YawIntegral& integral, const GyroConstants& constants,
                                const std::vector<OdometryStep>& steps) {
  // Chosen by hand. 25 samples of a gyro at 50 Hz make its noise a fifth; twice as long, and a robot that stops briefly
  // never stands for a window. kStraightRadS is 1.4 degrees in a window, which uneven wheels make. A median of fewer
  // than four windows is at the mercy of one that is not what it seems.
  constexpr double kWindowS = 0.5;
  constexpr double kStraightRadS = 0.05;
  constexpr std::size_t kEnough = 4;
  constexpr double kWithinCounts = 4.0;  // smoothed coarse counts come to rest within two standard deviations
  std::vector<double> standing;
  std::vector<double> rolling;
  for (std::size_t begin = 0, end = 0; begin < steps.size(); begin = end) {
    double turn = 0.0;
    double rolled = 0.0;
    for (; end < steps.size() && steps[end].begin_s < steps[begin].begin_s + kWindowS; ++end) {
      turn += steps[end].motion.z();
      rolled += steps[end].motion.cwiseAbs().sum();
    }
    const double from_s = steps[begin].begin_s;
    const double to_s = steps[end - 1].end_s;
    if (to_s <= from_s || std::abs(turn) > kStraightRadS * (to_s - from_s)) continue;
    const double gyro_turn = constants.sign * constants.scale * (integral.at(to_s) - integral.at(from_s));
    const bool stands = rolled * rolled <= kWithinCounts * steps[begin].count_variance_m2;
    (stands ? standing : rolling).push_back((gyro_turn - turn) / (to_s - from_s));
  }
  std::vector<double> straight = rolling;
  straight.insert(straight.end(), standing.begin(), standing.end());
  if (rolling.size() >= kEnough) {
    const double about = median(std::move(rolling));
    const auto alike = std::partition(standing.begin(), standing.end(),
                                      [about](double rate) { return std::abs(rate - about) <= kStraightRadS; });
    if (alike != standing.begin()) standing.erase(alike, standing.end());  // else it is the wheels that are wrong
  }
  if (standing.size() >= kEnough) return median(std::move(standing));
  if (straight.size() >= kEnough) return median(std::move(straight));
  return std::nullopt;
}

/// Weighs the gyro's turn against the wheels' by their variances, step by step.
void fuse_gyro(const std::vector<YawRate>& gyro, const GyroConstants& constants, double bias_rad_s,
               std::vector<OdometryStep>& steps) {
  constexpr double kScaleSd = 0.01;  // a hobby gyro's scale is good to a per cent
  const YawIntegral integral(gyro);
  const double span = gyro.back().time_s - gyro.front().time_s;
  const double sample_s = span / static_cast<double>(gyro.size() - 1);
  for (OdometryStep& step : steps) {
    if (step.begin_s < gyro.front().time_s || step.end_s > gyro.back().time_s) continue;
    const double dt = step.end_s - step.begin_s;
    step.gyro_turn_rad =
        constants.sign * constants.scale * (integral.at(step.end_s) - integral.at(step.begin_s)) - bias_rad_s * dt;
    const double scale_error = kScaleSd * step.motion.z();
    const double gyro_variance =
        constants.sd_rad_s * constants.sd_rad_s * dt * std::max(dt, sample_s) + scale_error * scale_error;
    const double sum = gyro_variance + step.turn_variance_rad2;
    if (sum <= 0.0) continue;
    step.gyro_share = step.turn_variance_rad2 / sum;
    step.turn_variance_rad2 *= gyro_variance / sum;
    step.count_turn_variance_rad2 *= (1.0 - step.gyro_share) * (1.0 - step.gyro_share);
  }
}

/// What whole numbers of counts leave open of the pose within a step.
Eigen::Matrix3d of_counts(const OdometryStep& step) {
  return Eigen::Vector3d(step.count_variance_m2, 0.0, step.count_turn_variance_rad2).asDiagonal();
}

/// The step in which a time lies; the last one's end is no longer in it.
std::vector<OdometryStep>::const_iterator step_at(const std::vector<OdometryStep>& steps, double time_s) {
  return std::upper_bound(steps.begin(), steps.end(), time_s,
                          [](double t, const OdometryStep& s) { return t < s.end_s; });
}

double share_within(const OdometryStep& step, double begin_s, double end_s) {
  const double length = step.end_s - step.begin_s;
  return length > 0.0 ? (std::min(end_s, step.end_s) - std::max(begin_s, step.begin_s)) / length : 1.0;
}

Tangent2 corrected(const OdometryStep& step, const OdometryCorrection& c) {
  Tangent2 motion = step.motion;
  motion.head<2>() *= 1.0 + c.distance_scale + c.slip_in_turns * step.turn_share;
  const double wheels = step.motion.z() * (1.0 + c.turn_scale) + c.curvature_rad_per_m * step.motion.x();
  const double gyro = step.gyro_turn_rad * (1.0 + c.gyro_scale) - c.gyro_bias_rad_s * (step.end_s - step.begin_s);
  motion.z() = wheels + step.gyro_share * (gyro - wheels);
  return motion;
}

}  // namespace

double track_width_m(const Robot& robot) {
  constexpr double kUsualM = 0.3;  // of a hobby robot whose file does not say
  return robot.drive ? robot.drive->track_width_m : kUsualM;
}

OdometryNoise odometry_noise(const Robot& robot) {
  OdometryNoise noise;
  noise.sd_along_m_per_sqrt_m = robot.motion_noise.sd_m_per_sqrt_m;
  noise.sd_across_m_per_sqrt_m = 0.5 * robot.motion_noise.sd_m_per_sqrt_m;
  noise.sd_rad_per_sqrt_rad = robot.motion_noise.sd_rad_per_sqrt_rad;
  // Two wheels that slip independently by s on each turn the robot by s * sqrt(2) / track width.
  noise.sd_rad_per_sqrt_m = 0.25 * robot.motion_noise.sd_m_per_sqrt_m * std::numbers::sqrt2 / track_width_m(robot);
  return noise;
}

std::optional<double> gyro_bias_rad_s(const Drive& drive) {
  if (drive.gyro.size() < 2) return std::nullopt;
  const std::optional<double> shown = gyro_bias(YawIntegral(drive.gyro), drive.robot.gyro, motion_steps(drive));
  if (!shown && drive.robot.gyro.bias_rad_s != 0.0) return drive.robot.gyro.bias_rad_s;
  return shown;
}

std::vector<OdometryStep> odometry_steps(const Drive& drive) {
  std::vector<OdometryStep> steps = motion_steps(drive);
  const OdometryNoise noise = odometry_noise(drive.robot);
  const double half_width = 0.5 * track_width_m(drive.robot);
  const std::vector<Tangent2> evened = evened_motions(steps);
  for (std::size_t i = 0; i < steps.size(); ++i) {
    OdometryStep& step = steps[i];
    const double turning = std::abs(evened[i].z()) * half_width;
    const double way = evened[i].head<2>().norm();
    step.turn_share = way + turning > 0.0 ? turning / (way + turning) : 0.0;
    step.rolled_m = std::max(way, turning);
    step.turn_variance_rad2 = wheel_turn_variance(noise, evened[i]);
  }
  if (const std::optional<double> bias = gyro_bias_rad_s(drive)) {
    fuse_gyro(drive.gyro, drive.robot.gyro, *bias, steps);
  }
  return steps;
}

OdometryPath::OdometryPath(const std::vector<OdometryStep>& steps, const OdometryCorrection& correction) {
  if (steps.empty()) return;
  times_s_.reserve(steps.size() + 1);
  times_s_.push_back(steps.front().begin_s);
  poses_.reserve(steps.size() + 1);
  poses_.push_back(Pose2{});
  motions_.reserve(steps.size());
  ways_m_.push_back(0.0);
  turned_rad_.push_back(0.0);
  for (const OdometryStep& step : steps) {
    const Tangent2 motion = corrected(step, correction);
    motions_.push_back(motion);
    times_s_.push_back(step.end_s);
    poses_.push_back(poses_.back() * exp(motion));
    ways_m_.push_back(ways_m_.back() + motion.head<2>().norm());
    turned_rad_.push_back(turned_rad_.back() + std::abs(motion.z()));
  }
}

OdometryPath::Place OdometryPath::find(double time_s) const {
  if (time_s <= times_s_.front()) return {0, 0.0};
  if (time_s >= times_s_.back()) return {motions_.size() - 1, 1.0};
  const auto after = std::upper_bound(times_s_.begin(), times_s_.end(), time_s);
  const std::size_t step = static_cast<std::size_t>(after - times_s_.begin()) - 1;
  return {step, (time_s - times_s_[step]) / (times_s_[step + 1] - times_s_[step])};
}

Pose2 OdometryPath::pose_at(double time_s) const {
  const Place place = find(time_s);
  return poses_[place.step] * exp(place.fraction * motions_[place.step]);
}

double OdometryPath::way_at_m(double time_s) const {
  const Place place = find(time_s);
  return std::lerp(ways_m_[place.step], ways_m_[place.step + 1], place.fraction);
}

double OdometryPath::turned_at_rad(double time_s) const {
  const Place place = find(time_s);
  return std::lerp(turned_rad_[place.step], turned_rad_[place.step + 1], place.fraction);
}

Eigen::Matrix3d stretch_covariance(const std::vector<OdometryStep>& steps, const OdometryNoise& noise, double begin_s,
                                   double end_s, const NoiseRatio& ratio) {
  const auto first = step_at(steps, begin_s);
  if (first == steps.end() || begin_s >= end_s) return Eigen::Matrix3d::Zero();
  // The same smoothed counts are behind both ends of a short stretch, and errors of both ends cancel.
  const double apart = std::min(1.0, (end_s - begin_s) / kSameCountErrorS);
  Eigen::Matrix3d covariance = apart * of_counts(*first);
  const Eigen::Vector3d found = Eigen::Vector3d(ratio[0], ratio[1], ratio[2]).cwiseAbs2();
  for (auto step = first; step != steps.end() && step->begin_s < end_s; ++step) {
    const double share = share_within(*step, begin_s, end_s);
    // Each wheel's noise grows with the way that it rolls itself.
    const double rolled = share * step->rolled_m;
    Eigen::Vector3d variance(noise.sd_along_m_per_sqrt_m * noise.sd_along_m_per_sqrt_m * rolled,
                             noise.sd_across_m_per_sqrt_m * noise.sd_across_m_per_sqrt_m * rolled,
                             share * step->turn_variance_rad2);
    variance.array() *= found.array();
    if (step->unknown) {
      variance << kUnknownSdM * kUnknownSdM, kUnknownSdM * kUnknownSdM, std::numbers::pi * std::numbers::pi;
    }
    covariance = carried(covariance, exp(share * step->motion));
    covariance.diagonal() += variance;
    if (step->end_s >= end_s || step + 1 == steps.end()) covariance += apart * of_counts(*step);
  }
  return covariance;
}

Eigen::Matrix3d slip_covariance(const std::vector<OdometryStep>& steps, double begin_s, double end_s) {
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();
  for (auto step = step_at(steps, begin_s); step != steps.end() && step->begin_s < end_s; ++step) {
    const double share = share_within(*step, begin_s, end_s);
    covariance = carried(covariance, exp(share * step->motion));
    covariance.diagonal() += share * step->slip_variance;
  }
  return covariance;
}

Eigen::Matrix3d count_covariance(const std::vector<OdometryStep>& steps, double begin_s, double sweep_s) {
  const auto first = step_at(steps, begin_s);
  if (first == steps.end() || first->count_variance_m2 <= 0.0) return Eigen::Matrix3d::Zero();
  double rolled_m = 0.0;
  for (auto step = first; step != steps.end() && step->begin_s < begin_s + sweep_s; ++step) rolled_m += step->rolled_m;
  // Errors of moments no further apart than that are much the same; and where a wheel rolls less than its count leaves
  // open, the error changes by no more than half of the way about its mean.
  const double by_time = std::min(1.0, sweep_s / kSameCountErrorS);
  const double by_way = 0.25 * rolled_m * rolled_m / first->count_variance_m2;
  return std::min(by_time, by_way) * of_counts(*first);
}

}  // namespace wainscot
