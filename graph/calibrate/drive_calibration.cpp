#include "graph/calibrate/drive_calibration.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>

#include <Eigen/Dense>

#include "core/errors.hpp"
#include "core/median.hpp"
#include "core/odometry.hpp"
#include "core/small_samples.hpp"
#include "graph/least_squares.hpp"
#include "graph/mapping/mapper.hpp"

namespace wainscot {
namespace {

using Vector7 = Eigen::Matrix<double, kDriveConstants, 1>;
using Matrix7 = Eigen::Matrix<double, kDriveConstants, kDriveConstants>;

constexpr double kDegree = std::numbers::pi / 180.0;
constexpr int kFewestIncrements = 12;

/// The wheels' counts at any time, linear in between.
class TickClock {
 public:
  explicit TickClock(const std::vector<WheelCounts>& wheels) : wheels_(wheels) {}

  struct Ticks {
    double left = 0.0;
    double right = 0.0;
  };

  Ticks at(double time_s) const {
    if (time_s <= wheels_.front().time_s) return ticks(0);
    if (time_s >= wheels_.back().time_s) return ticks(wheels_.size() - 1);
    const std::size_t after = index_after(time_s);
    const double u = (time_s - wheels_[after - 1].time_s) / (wheels_[after].time_s - wheels_[after - 1].time_s);
    const Ticks a = ticks(after - 1);
    const Ticks b = ticks(after);
    return {std::lerp(a.left, b.left, u), std::lerp(a.right, b.right, u)};
  }

  /// Calls `use` with the ticks of each piece between two times.
  template <typename Use>
  void pieces(double begin_s, double end_s, const Use& use) const {
    Ticks before = at(begin_s);
    std::size_t next = begin_s < wheels_.front().time_s ? 0 : index_after(begin_s);
    for (; next < wheels_.size() && wheels_[next].time_s < end_s; ++next) {
      const Ticks now = ticks(next);
      use(now.left - before.left, now.right - before.right);
      before = now;
    }
    const Ticks last = at(end_s);
    use(last.left - before.left, last.right - before.right);
  }

  double begin_s() const { return wheels_.front().time_s; }
  double end_s() const { return wheels_.back().time_s; }

 private:
  Ticks ticks(std::size_t i) const {
    return {static_cast<double>(wheels_[i].left_ticks), static_cast<double>(wheels_[i].right_ticks)};
  }
  std::size_t index_after(double time_s) const {
    const auto after = std::upper_bound(wheels_.begin(), wheels_.end(), time_s,
                                        [](double t, const WheelCounts& w) { return t < w.time_s; });
    return static_cast<std::size_t>(after - wheels_.begin());
  }
  const std::vector<WheelCounts>& wheels_;
};

class Calibrator {
 public:
  Calibrator(const Drive& drive, const ScanIncrements& increments, const DriveCalibrationOptions& options)
      : stated_(*drive.robot.drive), lidar_(drive.robot.lidar), options_(options), ticks_(drive.wheels) {
    const OdometryNoise noise = odometry_noise(drive.robot);
    noise_ = noise;
    for (const ScanIncrement& step : increments.long_steps) {
      const bool inside = step.begin_s - options.widest_offset_s > ticks_.begin_s() &&
                          step.end_s + options.widest_offset_s < ticks_.end_s();
      if (inside && !over_break(drive, step)) steps_.push_back(step);
    }
  }

  DriveCalibration run() {
    if (static_cast<int>(steps_.size()) < kFewestIncrements) {
      throw PoorData("the scans say of " + std::to_string(steps_.size()) +
                     " stretches only how the lidar moved; drive for a minute through rooms with walls in view");
    }
    start();
    adjust();
    return result();
  }

 private:
  bool over_break(const Drive& drive, const ScanIncrement& step) const {
    return std::any_of(drive.breaks.begin(), drive.breaks.end(), [&](std::size_t sample) {
      return sample > 0 && sample < drive.wheels.size() &&
             drive.wheels[sample].time_s > step.begin_s - options_.widest_offset_s &&
             drive.wheels[sample - 1].time_s < step.end_s + options_.widest_offset_s;
    });
  }

  /// Turns by the wheels, linear in (left / width, right / width), fitted to the lidar's turns.
  struct TurnFit {
    Eigen::Vector2d by_ticks = Eigen::Vector2d::Zero();
    double misfit_rad = 0.0;  ///< mean of |residual|, of the better nine tenths
  };

  TurnFit fit_turns(double offset_s) const {
    const auto count = static_cast<Eigen::Index>(steps_.size());
    Eigen::MatrixXd ticks(count, 2);
    Eigen::VectorXd turns(count);
    for (Eigen::Index i = 0; i < count; ++i) {
      const ScanIncrement& step = steps_[static_cast<std::size_t>(i)];
      const TickClock::Ticks from = ticks_.at(step.begin_s + offset_s);
      const TickClock::Ticks to = ticks_.at(step.end_s + offset_s);
      ticks.row(i) << -(to.left - from.left), to.right - from.right;
      turns[i] = step.motion.heading_rad;
    }
    // Weights against slips and wrong matches: Cauchy's, with the scale of the residuals themselves.
    Eigen::VectorXd weights = Eigen::VectorXd::Ones(count);
    TurnFit fit;
    Eigen::VectorXd residuals;
    for (int round = 0; round < 6; ++round) {
      const Eigen::MatrixXd weighted = weights.asDiagonal() * ticks;
      fit.by_ticks = (ticks.transpose() * weighted + 1e-9 * Eigen::Matrix2d::Identity())
                         .ldlt()
                         .solve(weighted.transpose() * turns);
      residuals = (turns - ticks * fit.by_ticks).cwiseAbs();
      const double scale = 3.0 * median({residuals.data(), residuals.data() + count}) + 1e-6;
      weights = (1.0 + (residuals / scale).array().square()).inverse();
    }
    std::vector<double> sorted(residuals.data(), residuals.data() + count);
    std::sort(sorted.begin(), sorted.end());
    sorted.resize(std::max<std::size_t>(1, sorted.size() * 9 / 10));
    for (const double r : sorted) fit.misfit_rad += r / static_cast<double>(sorted.size());
    return fit;
  }

  /// The offset with which the turns fit best: a grid, then a parabola through the best three.
  double find_offset() const {
    constexpr double kStep_s = 0.01;
    const int half = static_cast<int>(std::lround(options_.widest_offset_s / kStep_s)) - 1;
    std::vector<double> misfits;
    for (int i = -half; i <= half; ++i) misfits.push_back(fit_turns(i * kStep_s).misfit_rad);
    const auto best = std::min_element(misfits.begin(), misfits.end());
    const auto at = static_cast<std::size_t>(best - misfits.begin());
    const double offset = (static_cast<int>(at) - half) * kStep_s;
    if (at == 0 || at + 1 == misfits.size()) return 0.0;
    const double curve = misfits[at - 1] - 2.0 * misfits[at] + misfits[at + 1];
    const double slope = 0.5 * (misfits[at + 1] - misfits[at - 1]);
    return curve > 0.0 ? offset - kStep_s * std::clamp(slope / curve, -1.0, 1.0) : offset;
  }

  /// Both linear steps.
  void start() {
    double turned = 0.0;
    for (const ScanIncrement& step : steps_) turned += std::abs(step.motion.heading_rad);
    found_ << stated_.left_m_per_tick, stated_.right_m_per_tick, stated_.track_width_m, lidar_.x_m, lidar_.y_m,
        lidar_.heading_deg * kDegree, 0.0;
    constexpr double kHardlyTurned_rad = 1.0;  // in the whole drive: what is turned then is noise
    const bool turns = turned > kHardlyTurned_rad;
    if (turns) found_[kClockOffset] = find_offset();
    Eigen::Vector2d by_ticks(stated_.left_m_per_tick / stated_.track_width_m,
                             stated_.right_m_per_tick / stated_.track_width_m);
    if (turns) by_ticks = fit_turns(found_[kClockOffset]).by_ticks;
    fit_ways(by_ticks);
  }

  /// The ways: R(heading) s = width c + (R(turn) - 1) place, with s the lidar's way and c the robot's at a width of 1.
  void fit_ways(const Eigen::Vector2d& by_ticks) {
    Eigen::Matrix<double, 5, 5> normal = Eigen::Matrix<double, 5, 5>::Zero();  // width, x, y, cos, sin
    for (const ScanIncrement& step : steps_) {
      Pose2 robot;
      ticks_.pieces(step.begin_s + found_[kClockOffset], step.end_s + found_[kClockOffset],
                    [&](double left, double right) {
                      const double l = by_ticks[0] * left;
                      const double r = by_ticks[1] * right;
                      robot = robot * exp({0.5 * (l + r), 0.0, r - l});
                    });
      const Eigen::Matrix2d turn = robot.rotation() - Eigen::Matrix2d::Identity();
      const Pose2& s = step.motion;
      Eigen::Matrix<double, 2, 5> row;
      row << -robot.translation(), -turn, (Eigen::Matrix2d() << s.x_m, -s.y_m, s.y_m, s.x_m).finished();
      normal += row.transpose() * row / (step.covariance(0, 0) + step.covariance(1, 1) + 1e-6);
    }
    // A weak hold on the place (1 m), which a drive without turns leaves open.
    Eigen::Matrix3d inner = normal.topLeftCorner<3, 3>();
    inner.diagonal() += Eigen::Vector3d(1e-3, 1.0, 1.0);
    const Eigen::Matrix<double, 3, 2> coupling = normal.topRightCorner<3, 2>();
    const Eigen::Matrix2d reduced =
        normal.bottomRightCorner<2, 2>() - coupling.transpose() * inner.ldlt().solve(coupling);
    const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> solver(reduced);
    Eigen::Vector2d direction = solver.eigenvectors().col(0);
    Eigen::Vector3d rest = -inner.ldlt().solve(coupling * direction);
    if (rest[0] < 0.0) {  // a width is positive: the other of the two directions that fit alike
      rest = -rest;
      direction = -direction;
    }
    found_[kTrackWidth] = std::clamp(rest[0], 0.2 * stated_.track_width_m, 5.0 * stated_.track_width_m);
    found_[kLeftPerTick] = by_ticks[0] * found_[kTrackWidth];
    found_[kRightPerTick] = by_ticks[1] * found_[kTrackWidth];
    found_[kLidarX] = rest[1];
    found_[kLidarY] = rest[2];
    found_[kLidarHeading] = std::atan2(direction[1], direction[0]);
  }

  /// The unknowns of the last step are of order one, differences from the start.
  Vector7 values(const Eigen::VectorXd& x) const {
    Vector7 v = found_;
    v[kLeftPerTick] *= 1.0 + x[0];
    v[kRightPerTick] *= 1.0 + x[1];
    v[kTrackWidth] *= 1.0 + x[2];
    v.tail<4>() += x.tail<4>();
    return v;
  }

  Pose2 robot_motion(const Vector7& v, const ScanIncrement& step) const {
    Pose2 robot;
    ticks_.pieces(step.begin_s + v[kClockOffset], step.end_s + v[kClockOffset], [&](double left, double right) {
      const double l = v[kLeftPerTick] * left;
      const double r = v[kRightPerTick] * right;
      robot = robot * exp({0.5 * (l + r), 0.0, (r - l) / v[kTrackWidth]});
    });
    return robot;
  }

  /// Found minus expected motion of the lidar, tangent of its end.
  Tangent2 difference(const Vector7& v, const ScanIncrement& step) const {
    const Pose2 mounting{v[kLidarX], v[kLidarY], v[kLidarHeading]};
    Pose2 error = between(inverse(mounting) * robot_motion(v, step) * mounting, step.motion);
    error.heading_rad = wrap_angle(error.heading_rad);
    return log(error);
  }

  /// Of an increment: the match and the wheels' scatter, the latter seen from the lidar.
  Eigen::Matrix3d covariance_of(const Vector7& v, const ScanIncrement& step) const {
    const Pose2 robot = robot_motion(v, step);
    const double way = robot.translation().norm();
    const double turn = std::abs(robot.heading_rad);
    const Eigen::Vector3d wheels(noise_.sd_along_m_per_sqrt_m * noise_.sd_along_m_per_sqrt_m * way,
                                 noise_.sd_across_m_per_sqrt_m * noise_.sd_across_m_per_sqrt_m * way,
                                 noise_.sd_rad_per_sqrt_rad * noise_.sd_rad_per_sqrt_rad * turn +
                                     noise_.sd_rad_per_sqrt_m * noise_.sd_rad_per_sqrt_m * way);
    const Eigen::Matrix3d carry = adjoint(inverse(Pose2{v[kLidarX], v[kLidarY], v[kLidarHeading]}));
    constexpr double kFloor = 1e-6;  // 1 mm, 0.06 degrees
    return step.covariance + carry * wheels.asDiagonal() * carry.transpose() + kFloor * Eigen::Matrix3d::Identity();
  }

  /// Hold what a drive leaves open near the start: 100 % of the wheels, half a metre, a radian, a fifth of a second.
  static Vector7 hold() {
    Vector7 sd;
    sd << 1.0, 1.0, 1.0, 0.5, 0.5, 1.0, 0.2;
    return sd.cwiseInverse();
  }

  void adjust() {
    constexpr int kRounds = 4;  // the weights change by less than a per cent after three
    Eigen::VectorXd x = Eigen::VectorXd::Zero(kDriveConstants);
    for (int round = 0; round < kRounds; ++round) {
      weigh(values(x));
      fit_ = minimise_squares([this](const Eigen::VectorXd& at) { return residuals(at); }, x);
      x = fit_.unknowns;
    }
  }

  /// Weights of all increments: whitened, scaled to the scatter that the residuals show, and robust (Cauchy).
  void weigh(const Vector7& v) {
    weights_.clear();
    std::array<std::vector<double>, 3> sizes;
    std::vector<Eigen::Vector3d> whitened;
    for (const ScanIncrement& step : steps_) {
      const Eigen::Matrix3d lower = covariance_of(v, step).llt().matrixL();
      weights_.push_back(lower.inverse());
      whitened.push_back(weights_.back() * difference(v, step));
      for (std::size_t c = 0; c < 3; ++c) sizes[c].push_back(std::abs(whitened.back()[static_cast<Eigen::Index>(c)]));
    }
    constexpr double kNormalMedian = 0.6745;  // of |x| for a standard normal x
    Eigen::Vector3d scale;
    for (std::size_t c = 0; c < 3; ++c) {
      scale[static_cast<Eigen::Index>(c)] = std::max(0.05, median(sizes[c]) / kNormalMedian);
    }
    constexpr double kRobust = 3.0;
    for (std::size_t i = 0; i < weights_.size(); ++i) {
      const double size2 = whitened[i].cwiseQuotient(scale).squaredNorm() / 3.0;
      const double robust = 1.0 / std::sqrt(1.0 + size2 / (kRobust * kRobust));
      weights_[i] = robust * scale.cwiseInverse().asDiagonal() * weights_[i];
    }
  }

  Eigen::VectorXd residuals(const Eigen::VectorXd& x) const {
    const Vector7 v = values(x);
    const auto count = static_cast<Eigen::Index>(steps_.size());
    Eigen::VectorXd all(3 * count + kDriveConstants);
    for (Eigen::Index i = 0; i < count; ++i) {
      const auto k = static_cast<std::size_t>(i);
      all.segment<3>(3 * i) = weights_[k] * difference(v, steps_[k]);
    }
    all.tail<kDriveConstants>() = hold().cwiseProduct(x);
    return all;
  }

  /// Of correlated residuals, by the sums of whole blocks of the drive.
  Matrix7 covariance(int blocks) const {
    const auto count = static_cast<int>(steps_.size());
    Matrix7 middle = Matrix7(hold().cwiseAbs2().asDiagonal());
    for (int block = 0; block < blocks; ++block) {
      Vector7 sum = Vector7::Zero();
      for (int i = count * block / blocks; i < count * (block + 1) / blocks; ++i) {
        sum += fit_.jacobian.middleRows<3>(3 * i).transpose() * fit_.residuals.segment<3>(3 * i);
      }
      middle += sum * sum.transpose() * blocks / (blocks - 1.0);
    }
    const Matrix7 bread = Matrix7(fit_.jacobian.transpose() * fit_.jacobian).inverse();
    return bread * middle * bread;
  }

  DriveCalibration result() const {
    DriveCalibration result;
    const Vector7 v = values(fit_.unknowns);
    result.found = v;
    result.found[kLidarHeading] = wrap_angle(v[kLidarHeading]);
    Vector7 unit = Vector7::Ones();
    unit.head<3>() = found_.head<3>().cwiseAbs();
    constexpr int kMostBlocks = 12;
    constexpr int kFewestInBlock = 6;
    const auto count = static_cast<int>(steps_.size());
    const int blocks = std::clamp(count / kFewestInBlock, 2, kMostBlocks);
    result.covariance = unit.asDiagonal() * covariance(blocks) * unit.asDiagonal();
    result.degrees = blocks - 1.0;
    result.increments = count;
    describe(v, result);
    add_what_one_number_cannot_say(v, result);
    decide_observed(result);
    Vector7 lengths = v;  // what grows with the lidar's metre
    lengths.tail<2>().setZero();
    result.covariance += options_.range_scale_sd * options_.range_scale_sd * lengths * lengths.transpose();
    return result;
  }

  /// Where the two sides slip unequally, the point that the robot turns about moves sideways, which is the same as a
  /// lidar that sits elsewhere: it differs from floor to floor by some parts of a hundred of half the track width. And
  /// the clocks of hobby boards drift apart by some 30 ppm, so that one offset is right in the middle of the drive
  /// only, while the drive's turns, which show it, lie a sixth of it away from there or so (both: common practice, no
  /// source; the first is the figure of graph/mapping/map_account.cpp).
  void add_what_one_number_cannot_say(const Vector7& v, DriveCalibration& result) const {
    constexpr double kTurningCentreVaries = 0.012;
    constexpr double kDrift = 30e-6;
    result.covariance(kLidarY, kLidarY) += std::pow(kTurningCentreVaries * 0.5 * v[kTrackWidth], 2);
    const double duration_s = steps_.back().end_s - steps_.front().begin_s;
    result.covariance(kClockOffset, kClockOffset) += std::pow(kDrift * duration_s / 6.0, 2);
  }

  void describe(const Vector7& v, DriveCalibration& result) const {
    double squares_m2 = 0.0;
    double squares_rad2 = 0.0;
    for (const ScanIncrement& step : steps_) {
      const Pose2 robot = robot_motion(v, step);
      constexpr double kStraight_rad = 0.035;  // 2 degrees
      const double way = robot.translation().norm();
      result.way_m += way;
      if (std::abs(robot.heading_rad) < kStraight_rad) result.straight_m += way;
      (robot.heading_rad > 0.0 ? result.left_turn_rad : result.right_turn_rad) += std::abs(robot.heading_rad);
      const Tangent2 error = difference(v, step);
      squares_m2 += error.head<2>().squaredNorm();
      squares_rad2 += error.z() * error.z();
    }
    result.residual_m = std::sqrt(squares_m2 / static_cast<double>(steps_.size()));
    result.residual_rad = std::sqrt(squares_rad2 / static_cast<double>(steps_.size()));
  }

  /// Good enough to be used, the lidar's scale apart: 2 % of the wheels, 5 % of the width, 15 mm, 1 degree, 20 ms.
  static void decide_observed(DriveCalibration& result) {
    const std::array<double, kDriveConstants> good_enough{0.02 * std::abs(result.found[kLeftPerTick]),
                                                          0.02 * std::abs(result.found[kRightPerTick]),
                                                          0.05 * std::abs(result.found[kTrackWidth]),
                                                          0.015,
                                                          0.015,
                                                          1.0 * kDegree,
                                                          0.02};
    for (int c = 0; c < kDriveConstants; ++c) {
      const auto k = static_cast<std::size_t>(c);
      result.observed[k] = result.sd(static_cast<DriveConstant>(c)) < good_enough[k];
    }
  }

  DriveConstants stated_;
  LidarConstants lidar_;
  DriveCalibrationOptions options_;
  TickClock ticks_;
  OdometryNoise noise_;
  std::vector<ScanIncrement> steps_;
  Vector7 found_ = Vector7::Zero();
  std::vector<Eigen::Matrix3d> weights_;
  LeastSquares fit_;
};

}  // namespace

double DriveCalibration::sd(DriveConstant c) const { return std::sqrt(covariance(c, c)); }

double DriveCalibration::half_width(DriveConstant c) const { return student_t_two_sided(0.95, degrees) * sd(c); }

DriveCalibration calibrate_drive(const Drive& drive, const ScanIncrements& increments,
                                 const DriveCalibrationOptions& options) {
  return Calibrator(drive, increments, options).run();
}

Robot calibrated_robot(const Robot& stated, const DriveCalibration& found) {
  Robot robot = stated;
  DriveConstants& drive = *robot.drive;
  const bool wheels = found.observed[kLeftPerTick] && found.observed[kRightPerTick];
  if (wheels) {
    drive.left_m_per_tick = found.found[kLeftPerTick];
    drive.right_m_per_tick = found.found[kRightPerTick];
    drive.left_sd_m_per_tick = found.sd(kLeftPerTick);
    drive.right_sd_m_per_tick = found.sd(kRightPerTick);
  }
  if (wheels && found.observed[kTrackWidth]) {
    drive.track_width_m = found.found[kTrackWidth];
    drive.track_width_sd_m = found.sd(kTrackWidth);
  }
  if (found.observed[kLidarX]) robot.lidar.x_m = found.found[kLidarX];
  if (found.observed[kLidarY]) robot.lidar.y_m = found.found[kLidarY];
  if (found.observed[kLidarHeading]) robot.lidar.heading_deg = found.found[kLidarHeading] / kDegree;
  if (found.observed[kClockOffset]) robot.lidar.time_offset_s += found.found[kClockOffset];
  return robot;
}

MappedCalibration refine_by_mapping(Drive drive, const DriveCalibration& found, int threads) {
  // Wide, so that it is the drive that speaks: what the increments said is a start, not a second witness.
  constexpr double kWheelSd = 0.02;
  constexpr double kWidthSd = 0.04;
  const double offset_before_s = drive.robot.lidar.time_offset_s;
  drive.robot = calibrated_robot(drive.robot, found);
  for (Scan& scan : drive.scans) scan.time_s += drive.robot.lidar.time_offset_s - offset_before_s;
  DriveConstants& wheels = *drive.robot.drive;
  wheels.left_sd_m_per_tick = kWheelSd * std::abs(wheels.left_m_per_tick);
  wheels.right_sd_m_per_tick = kWheelSd * std::abs(wheels.right_m_per_tick);
  wheels.track_width_sd_m = kWidthSd * wheels.track_width_m;
  MapperOptions mapper;
  mapper.threads = threads;
  const Map map = build_map(drive, mapper);

  MappedCalibration mapped;
  mapped.matched_fraction = map.quality.matched_fraction;
  mapped.trustworthy = map.quality.trustworthy();
  mapped.calibration = found;
  static constexpr std::array<const char*, kDriveConstants> kNames{
      "drive.left_m_per_tick", "drive.right_m_per_tick", "drive.track_width_m", "lidar.x_m", "lidar.y_m",
      "lidar.heading_deg",     "lidar.time_offset_s"};
  for (int c = 0; c < kDriveConstants; ++c) {
    for (const RefinedConstant& row : map.constants) {
      if (row.name != kNames[static_cast<std::size_t>(c)]) continue;
      const double unit = c == kLidarHeading ? kDegree : 1.0;
      mapped.calibration.found[c] = unit * row.found - (c == kClockOffset ? offset_before_s : 0.0);
      mapped.calibration.covariance.row(c).setZero();
      mapped.calibration.covariance.col(c).setZero();
      mapped.calibration.covariance(c, c) = unit * unit * row.found_sd * row.found_sd;
    }
  }
  return mapped;
}

DriveCalibration with_mounting_of(const MappedCalibration& mapped, const DriveCalibration& increments) {
  if (!mapped.trustworthy) return increments;
  constexpr double kContradict = 5.0;  // standard deviations
  DriveCalibration both = increments;
  for (const DriveConstant c : {kLidarX, kLidarY, kLidarHeading}) {
    double difference = mapped.calibration.found[c] - increments.found[c];
    if (c == kLidarHeading) difference = wrap_angle(difference);
    const double sd = std::hypot(mapped.calibration.sd(c), increments.sd(c));
    if (!increments.observed[static_cast<std::size_t>(c)] || std::abs(difference) > kContradict * sd) return increments;
    both.found[c] = mapped.calibration.found[c];
    both.covariance.row(c).setZero();
    both.covariance.col(c).setZero();
    both.covariance(c, c) = mapped.calibration.covariance(c, c);
  }
  return both;
}

std::vector<std::string> missing_drives(const DriveCalibration& found) {
  std::vector<std::string> missing;
  const double turned = found.left_turn_rad + found.right_turn_rad;
  constexpr double kOneWay = 0.1;  // of all turning
  constexpr double kHardly_rad = 1.5;
  constexpr double kHardly_m = 2.0;
  const bool open_turns = !found.observed[kTrackWidth] || !found.observed[kLidarX] || !found.observed[kLidarY];
  if (turned < kHardly_rad) {
    missing.emplace_back(
        "The drive hardly turned, so it cannot show the track width, where the lidar sits (x_m, y_m) and how the two "
        "wheels differ; ten seconds would: turn on the spot once round to the left and once round to the right.");
  } else if (std::min(found.left_turn_rad, found.right_turn_rad) < kOneWay * turned) {
    const char* less = found.left_turn_rad < found.right_turn_rad ? "left" : "right";
    missing.push_back(std::string("The drive turned one way only, so a wheel that slips more in turns cannot be told "
                                  "from a wrong track width or y_m; ten seconds would show it: turn on the spot once "
                                  "round to the ") +
                      less + ".");
  } else if (open_turns) {
    missing.emplace_back(
        "The drive turned too little to show the track width and where the lidar sits (x_m, y_m); ten seconds would: "
        "turn on the spot twice round, once each way.");
  }
  if (found.straight_m < kHardly_m || !found.observed[kLidarHeading]) {
    missing.emplace_back(
        "The drive has hardly any straight, so it cannot show the metres a tick and the lidar's heading_deg well; ten "
        "seconds would: drive 3 m straight ahead, with walls in view.");
  }
  if (!found.observed[kClockOffset] && turned >= kHardly_rad) {
    missing.emplace_back(
        "The drive does not show the offset between the clocks; ten seconds would: turn on the spot to and fro, "
        "briskly, "
        "by a quarter turn each time.");
  }
  return missing;
}

}  // namespace wainscot
