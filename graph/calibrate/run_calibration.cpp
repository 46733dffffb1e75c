#include "graph/calibrate/run_calibration.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <limits>
#include <map>
#include <numbers>
#include <set>
#include <stdexcept>

#include <Eigen/Dense>

#include "core/errors.hpp"
#include "core/odometry.hpp"
#include "core/small_samples.hpp"
#include "graph/least_squares.hpp"

namespace wainscot {
namespace {

constexpr double kDegree = std::numbers::pi / 180.0;
constexpr int kLeft = 0;
constexpr int kRight = 1;
constexpr int kFirstWidth = 2;  ///< the unknowns: left, right, then one width a surface, each relative to its start

enum Component : int { kTurn, kSideways, kForward };  ///< in the order in which a run's rows are decorrelated
/// Measurements whose scatter is alike, for which its factor is estimated.
enum Group : std::size_t {
  kTurns,
  kWays,    ///< forward_m of straights
  kPlaces,  ///< all other lengths, which depend on the headings on the way
  kGroups
};

/// One measured component of a run's end, decorrelated from those before it and divided by its stated deviation.
struct Row {
  std::size_t run;
  Component component;
  Group group;
};

double net(const CalibrationRun& run, std::int64_t WheelCounts::*wheel) {
  return static_cast<double>(run.wheels.back().*wheel - run.wheels.front().*wheel);
}

/// A run on a flat line of thought: its steps as odometry sees them.
std::vector<OdometryStep> steps_of(const std::vector<WheelCounts>& wheels, double left, double right, double width,
                                   const OdometryNoise& noise) {
  std::vector<OdometryStep> steps;
  for (std::size_t i = 1; i < wheels.size(); ++i) {
    const double l = static_cast<double>(wheels[i].left_ticks - wheels[i - 1].left_ticks) * left;
    const double r = static_cast<double>(wheels[i].right_ticks - wheels[i - 1].right_ticks) * right;
    OdometryStep step;
    step.begin_s = static_cast<double>(i - 1);
    step.end_s = static_cast<double>(i);
    step.motion = {0.5 * (l + r), 0.0, (r - l) / width};
    step.rolled_m = 0.5 * (std::abs(l) + std::abs(r));
    step.turn_variance_rad2 = noise.sd_rad_per_sqrt_rad * noise.sd_rad_per_sqrt_rad * std::abs(step.motion.z()) +
                              noise.sd_rad_per_sqrt_m * noise.sd_rad_per_sqrt_m * std::abs(step.motion.x());
    steps.push_back(step);
  }
  return steps;
}

/// Totals are one long arc, over which sideways noise of the heading's wandering is cut into pieces to be right.
std::vector<WheelCounts> in_pieces(const CalibrationRun& run) {
  constexpr int kPieces = 20;
  if (run.whole_path) return run.wheels;
  std::vector<WheelCounts> pieces;
  for (int i = 0; i <= kPieces; ++i) {
    pieces.push_back({0.0, static_cast<std::int64_t>(std::lround(net(run, &WheelCounts::left_ticks) * i / kPieces)),
                      static_cast<std::int64_t>(std::lround(net(run, &WheelCounts::right_ticks) * i / kPieces))});
  }
  return pieces;
}

class Estimator {
 public:
  Estimator(const CalibrationRuns& runs, const RunCalibrationOptions& options)
      : runs_(runs.runs), options_(options), noise_(odometry_noise(runs.robot)), stated_(*runs.robot.drive) {
    for (const CalibrationRun& run : runs_) surfaces_.insert({run.surface, 0});
    int next = 0;
    for (auto& [name, index] : surfaces_) index = next++;
    for (std::size_t i = 0; i < runs_.size(); ++i) {
      if (runs_[i].turn_rad) rows_.push_back({i, kTurn, kTurns});
      if (runs_[i].left_m) rows_.push_back({i, kSideways, kPlaces});
      if (runs_[i].forward_m) rows_.push_back({i, kForward, is_straight(runs_[i]) ? kWays : kPlaces});
    }
  }

  RunCalibration run() {
    refuse_contradictions();
    start();
    refuse_missing_runs();
    weigh();
    adjust();
    return result();
  }

 private:
  int unknowns() const { return kFirstWidth + static_cast<int>(surfaces_.size()); }
  int width_index(std::size_t run) const { return kFirstWidth + surfaces_.at(runs_[run].surface); }
  double left(const Eigen::VectorXd& x) const { return stated_.left_m_per_tick * x[kLeft]; }
  double right(const Eigen::VectorXd& x) const { return stated_.right_m_per_tick * x[kRight]; }
  double width(const Eigen::VectorXd& x, int index) const { return stated_.track_width_m * x[index]; }

  bool is_straight(const CalibrationRun& run) const {
    constexpr double kShortest_m = 0.3;
    constexpr double kMostTurn_rad = 0.35;
    const double l = net(run, &WheelCounts::left_ticks) * stated_.left_m_per_tick;
    const double r = net(run, &WheelCounts::right_ticks) * stated_.right_m_per_tick;
    return !run.whole_path && 0.5 * std::abs(l + r) > kShortest_m &&
           std::abs(r - l) / stated_.track_width_m < kMostTurn_rad;
  }

  Pose2 expected_end(const Eigen::VectorXd& x, std::size_t run) const {
    return end_of_run(runs_[run].wheels, left(x), right(x), width(x, width_index(run)));
  }

  /// Relative error of a constant that one straight or one turn alone gives; what the runs of a kind must agree on.
  struct Simple {
    std::size_t run;
    double ratio;  ///< measured / by the stated constants
    double sd;     ///< of the ratio
  };

  /// The straights, and for each surface the turns.
  std::map<std::string, std::vector<Simple>> simple_runs() const {
    std::map<std::string, std::vector<Simple>> kinds;
    for (std::size_t i = 0; i < runs_.size(); ++i) {
      const CalibrationRun& run = runs_[i];
      const double l = net(run, &WheelCounts::left_ticks) * stated_.left_m_per_tick;
      const double r = net(run, &WheelCounts::right_ticks) * stated_.right_m_per_tick;
      const double way = 0.5 * (l + r);
      const double turn = (r - l) / stated_.track_width_m;
      if (is_straight(run) && run.forward_m) {
        kinds["straight"].push_back({i, *run.forward_m / way, run.sd_m.value_or(options_.sd_m) / std::abs(way)});
      }
      if (run.turn_rad && std::abs(turn) > 0.7) {
        kinds["turn on " + run.surface].push_back(
            {i, *run.turn_rad / turn, run.sd_rad.value_or(options_.sd_rad) / std::abs(turn)});
      }
    }
    return kinds;
  }

  static bool contradict(const Simple& a, const Simple& b) {
    constexpr double kScatter = 0.1;  // two turns may differ by a tenth, by slip
    constexpr double kTimesSd = 6.0;
    return std::abs(a.ratio - b.ratio) > kScatter + kTimesSd * std::hypot(a.sd, b.sd);
  }

  void refuse_contradictions() const {
    for (const auto& [kind, members] : simple_runs()) {
      std::size_t most = 0;  // the largest number of runs that agree with one of them
      for (const Simple& a : members) {
        const auto agree =
            std::count_if(members.begin(), members.end(), [&](const Simple& b) { return !contradict(a, b); });
        most = std::max(most, static_cast<std::size_t>(agree));
      }
      if (2 * most > members.size()) continue;
      for (const Simple& a : members) {
        for (const Simple& b : members) {
          if (contradict(a, b)) throw_contradiction(kind, a, b);
        }
      }
    }
  }

  [[noreturn]] void throw_contradiction(const std::string& kind, const Simple& a, const Simple& b) const {
    std::array<char, 600> text{};
    std::snprintf(text.data(), text.size(),
                  "the runs %s and %s contradict each other and no third run tells which is right: measured over "
                  "counted (by robot.yaml) is %.3f in one and %.3f in the other, both a %s; measure one more, or leave "
                  "one out with --leave-out",
                  runs_[a.run].name.c_str(), runs_[b.run].name.c_str(), a.ratio, b.ratio, kind.c_str());
    throw PoorData(text.data());
  }

  /// Closed form: the straights give one factor for both wheels, the turns of each surface its width.
  void start() {
    start_ = Eigen::VectorXd::Ones(unknowns());
    const auto median = [](std::vector<Simple> members) {
      const auto middle = members.begin() + static_cast<std::ptrdiff_t>(members.size() / 2);
      std::nth_element(members.begin(), middle, members.end(),
                       [](const Simple& a, const Simple& b) { return a.ratio < b.ratio; });
      return middle->ratio;
    };
    const auto kinds = simple_runs();
    const auto straight = kinds.find("straight");
    const double scale = straight != kinds.end() ? median(straight->second) : 1.0;
    start_[kLeft] = start_[kRight] = scale;
    for (const auto& [name, index] : surfaces_) {
      const auto turns = kinds.find("turn on " + name);
      start_[kFirstWidth + index] = turns != kinds.end() ? scale / median(turns->second) : scale;
    }
  }

  /// Fills the decorrelating weights of all runs, from the constants of the start.
  void weigh() {
    weights_.clear();
    for (std::size_t i = 0; i < runs_.size(); ++i) weights_.push_back(weight_of(runs_[i], start_, width_index(i)));
  }

  /// Inverse Cholesky factor of the covariance of the run's measured components.
  Eigen::MatrixXd weight_of(const CalibrationRun& run, const Eigen::VectorXd& x, int width_index) const {
    const Eigen::Matrix3d all = covariance_of_end(run, x, width_index);
    std::vector<int> measured;
    if (run.turn_rad) measured.push_back(kTurn);
    if (run.left_m) measured.push_back(kSideways);
    if (run.forward_m) measured.push_back(kForward);
    const auto size = static_cast<Eigen::Index>(measured.size());
    Eigen::MatrixXd chosen(size, size);
    for (Eigen::Index r = 0; r < size; ++r) {
      for (Eigen::Index c = 0; c < size; ++c) {
        chosen(r, c) = all(measured[static_cast<std::size_t>(r)], measured[static_cast<std::size_t>(c)]);
      }
    }
    return Eigen::MatrixXd(chosen.llt().matrixL()).inverse();
  }

  /// Of (turn, left, forward): the wheels' scatter on the way, the measurement, and how well the robot was aligned at
  /// the start, which a protractor measures no better than the end.
  Eigen::Matrix3d covariance_of_end(const CalibrationRun& run, const Eigen::VectorXd& x, int width_index) const {
    const std::vector<WheelCounts> wheels = in_pieces(run);
    const std::vector<OdometryStep> steps = steps_of(wheels, left(x), right(x), width(x, width_index), noise_);
    const Pose2 end = end_of_run(wheels, left(x), right(x), width(x, width_index));
    const Eigen::Matrix3d on_the_way = stretch_covariance(steps, noise_, 0.0, steps.back().end_s);
    Eigen::Matrix3d to_start = Eigen::Matrix3d::Zero();  // (forward, left, heading) of the end to (turn, left, forward)
    to_start(kTurn, 2) = 1.0;
    to_start.block<1, 2>(kSideways, 0) = end.rotation().row(1);
    to_start.block<1, 2>(kForward, 0) = end.rotation().row(0);
    Eigen::Matrix3d covariance = to_start * on_the_way * to_start.transpose();
    const double sd_m = run.sd_m.value_or(options_.sd_m);
    const double sd_rad = run.sd_rad.value_or(options_.sd_rad);
    const Eigen::Vector3d by_alignment(0.0, -end.x_m, end.y_m);
    covariance += sd_rad * sd_rad * by_alignment * by_alignment.transpose();
    covariance.diagonal() += Eigen::Vector3d(sd_rad * sd_rad, sd_m * sd_m, sd_m * sd_m);
    return covariance;
  }

  /// Measured minus expected of a run's measured components, decorrelated.
  Eigen::VectorXd differences(const Eigen::VectorXd& x, std::size_t run) const {
    const CalibrationRun& r = runs_[run];
    const Pose2 end = expected_end(x, run);
    Eigen::VectorXd values(weights_[run].rows());
    Eigen::Index next = 0;
    if (r.turn_rad) values[next++] = *r.turn_rad - end.heading_rad;
    if (r.left_m) values[next++] = *r.left_m - end.y_m;
    if (r.forward_m) values[next++] = *r.forward_m - end.x_m;
    return weights_[run] * values;
  }

  ResidualFunction residual_function() const {
    return [this](const Eigen::VectorXd& x) {
      Eigen::VectorXd all(static_cast<Eigen::Index>(rows_.size()));
      Eigen::Index next = 0;
      for (std::size_t i = 0; i < runs_.size(); ++i) {
        const Eigen::VectorXd own = differences(x, i);
        all.segment(next, own.size()) = own;
        next += own.size();
      }
      for (std::size_t i = 0; i < rows_.size(); ++i) all[static_cast<Eigen::Index>(i)] /= scatter_[rows_[i].group];
      return all;
    };
  }

  /// Estimates constants and scatter in turn.
  void adjust() {
    constexpr int kRounds = 6;  // the scatter's factors change by less than a per cent after three
    Eigen::VectorXd x = start_;
    for (int round = 0; round < kRounds; ++round) {
      fit_ = minimise_squares(residual_function(), x);
      x = fit_.unknowns;
      covariance_ = (fit_.jacobian.transpose() * fit_.jacobian).inverse();
      leverages_ = (fit_.jacobian * covariance_ * fit_.jacobian.transpose()).diagonal();
      surplus_ = {};
      std::array<double, kGroups> squares{};
      for (std::size_t i = 0; i < rows_.size(); ++i) {
        const auto k = static_cast<Eigen::Index>(i);
        const Group group = rows_[i].group;
        surplus_[group] += 1.0 - leverages_[k];
        squares[group] += std::pow(fit_.residuals[k] * scatter_[group], 2);
      }
      if (round + 1 == kRounds) break;
      for (const Group group : {kTurns, kWays, kPlaces}) {
        const double stated = std::max(0.0, kFewestDegrees - surplus_[group]);
        scatter_[group] = std::sqrt(std::max(1e-6, (stated + squares[group]) / (stated + surplus_[group])));
      }
    }
  }

  double degrees(Group group) const { return std::max(kFewestDegrees, surplus_[group]); }

  /// What stands in the way of an estimate, as the runs that are missing.
  void refuse_missing_runs() {
    weigh();
    const LeastSquares there = evaluate_squares(residual_function(), start_);
    // With every constant known to 100 % beforehand: what the runs leave at a third of that, they do not determine.
    const Eigen::MatrixXd normal = there.jacobian.transpose() * there.jacobian;
    const Eigen::MatrixXd left_open = (normal + Eigen::MatrixXd::Identity(unknowns(), unknowns())).inverse();
    constexpr double kOpen = 0.3;
    std::string missing;
    const auto add = [&](const std::string& what) { missing += (missing.empty() ? "" : "; ") + what; };
    Eigen::VectorXd mean = Eigen::VectorXd::Zero(unknowns());
    mean[kLeft] = mean[kRight] = 0.5;
    const bool no_length = mean.dot(left_open * mean) > kOpen * kOpen;
    if (no_length) add("a straight of 2 m with forward_m");
    for (const auto& [name, index] : surfaces_) {
      Eigen::VectorXd by_scale = -mean;  // the width as a multiple of the wheels, which turns alone give
      by_scale[kFirstWidth + index] = 1.0;
      if (by_scale.dot(left_open * by_scale) > kOpen * kOpen) {
        add("a turn on the spot on " + name + ", both ways, with turn_deg");
      }
    }
    Eigen::VectorXd difference = Eigen::VectorXd::Zero(unknowns());
    difference[kLeft] = -1.0;
    difference[kRight] = 1.0;
    if (!no_length && difference.dot(left_open * difference) > kOpen * kOpen) {
      add("turn_deg or left_m at the end of a straight, which tells the two wheels apart");
    }
    if (missing.empty()) return;
    throw PoorData("the runs do not determine the " + std::to_string(unknowns()) +
                   " constants (two wheels, and a width for each surface); add: " + missing);
  }

  /// A linear combination's estimate; `by` are its derivatives by the unknowns.
  Estimate estimate(double value, const Eigen::VectorXd& by) const {
    const Eigen::VectorXd by_row = fit_.jacobian * (covariance_ * by);
    std::array<double, kGroups> variance{};
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      variance[rows_[i].group] += std::pow(by_row[static_cast<Eigen::Index>(i)], 2);
    }
    Estimate result;
    result.value = value;
    const double sum = variance[kTurns] + variance[kWays] + variance[kPlaces];
    result.sd = std::sqrt(sum);
    double reciprocal = 0.0;
    for (const Group group : {kTurns, kWays, kPlaces}) reciprocal += variance[group] * variance[group] / degrees(group);
    result.degrees = reciprocal > 0.0 ? sum * sum / reciprocal : std::numeric_limits<double>::infinity();
    result.half_width = student_t_two_sided(options_.confidence, result.degrees) * result.sd;
    return result;
  }

  Eigen::VectorXd unit(int index, double factor) const {
    Eigen::VectorXd by = Eigen::VectorXd::Zero(unknowns());
    by[index] = factor;
    return by;
  }

  RunCalibration result() const {
    const Eigen::VectorXd& x = fit_.unknowns;
    RunCalibration result;
    result.left_m_per_tick = estimate(left(x), unit(kLeft, std::abs(stated_.left_m_per_tick)));
    result.right_m_per_tick = estimate(right(x), unit(kRight, std::abs(stated_.right_m_per_tick)));
    Eigen::VectorXd mean = Eigen::VectorXd::Zero(unknowns());
    for (const auto& [name, index] : surfaces_) {
      SurfaceWidth surface;
      surface.surface = name;
      surface.width_m = estimate(width(x, kFirstWidth + index), unit(kFirstWidth + index, stated_.track_width_m));
      const auto& wanted = name;
      surface.runs = static_cast<int>(std::count_if(
          runs_.begin(), runs_.end(), [&wanted](const CalibrationRun& r) { return r.surface == wanted; }));
      result.surfaces.push_back(surface);
      mean[kFirstWidth + index] = stated_.track_width_m / static_cast<double>(surfaces_.size());
    }
    result.mean_width_m = estimate(mean.dot(x), mean);
    result.turn_scatter = scatter_[kTurns];
    result.way_scatter = scatter_[kWays];
    result.place_scatter = scatter_[kPlaces];
    result.surplus = static_cast<double>(rows_.size()) - unknowns();
    result.residuals = residuals();
    if (surfaces_.size() > 1) result.surface_test = test_surfaces();
    result.expected = expected_errors();
    result.more = more_runs();
    return result;
  }

  std::vector<RunResidual> residuals() const {
    std::vector<RunResidual> all;
    for (std::size_t i = 0; i < runs_.size(); ++i) {
      const CalibrationRun& run = runs_[i];
      const Pose2 end = expected_end(fit_.unknowns, i);
      RunResidual residual;
      residual.run = run.name;
      if (run.forward_m) residual.forward_m = *run.forward_m - end.x_m;
      if (run.left_m) residual.left_m = *run.left_m - end.y_m;
      if (run.turn_rad) residual.turn_rad = *run.turn_rad - end.heading_rad;
      all.push_back(residual);
    }
    constexpr double kUnchecked = 1e-4;  // of its own measurement nothing is left once the constants are estimated
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      const auto k = static_cast<Eigen::Index>(i);
      const double own = 1.0 - leverages_[k];
      if (own < kUnchecked) continue;
      static constexpr std::array<const char*, 3> kNames{"turn_deg", "left_m", "forward_m"};
      const Group group = rows_[i].group;
      const double left_out = fit_.residuals[k] * fit_.residuals[k] / own;
      const double freedom = degrees(group) - 1.0;
      const double others = std::max(1e-3, (degrees(group) - left_out) / freedom);
      RunResidual& residual = all[rows_[i].run];
      const double ratio = std::abs(fit_.residuals[k]) / std::sqrt(own * others);
      if (ratio <= residual.worst_ratio && !residual.worst.empty()) continue;
      residual.worst = kNames[static_cast<std::size_t>(rows_[i].component)];
      residual.worst_ratio = ratio;
      residual.limit = student_t_two_sided(1.0 - options_.odd_chance / static_cast<double>(rows_.size()), freedom);
    }
    return all;
  }

  /// Wald's test of equal widths, with the estimated scatter's degrees of freedom.
  SurfaceTest test_surfaces() const {
    const auto count = static_cast<Eigen::Index>(surfaces_.size());
    Eigen::MatrixXd against_first = Eigen::MatrixXd::Zero(count - 1, unknowns());
    for (Eigen::Index i = 1; i < count; ++i) {
      against_first(i - 1, kFirstWidth) = -1.0;
      against_first(i - 1, kFirstWidth + i) = 1.0;
    }
    const Eigen::VectorXd difference = against_first * fit_.unknowns;
    const Eigen::MatrixXd covariance = against_first * covariance_ * against_first.transpose();
    SurfaceTest test;
    test.above = static_cast<double>(count - 1);
    test.below = std::numeric_limits<double>::infinity();
    for (Eigen::Index i = 0; i + 1 < count; ++i) {
      test.below = std::min(test.below, estimate(0.0, against_first.row(i).transpose()).degrees);
    }
    test.f = difference.dot(covariance.ldlt().solve(difference)) / test.above;
    test.p = fisher_f_tail(test.f, test.above, test.below);
    return test;
  }

  /// A drive of straights and left turns on the spot with the found constants: counts in pieces.
  CalibrationRun imagined(const std::vector<double>& ways_m, double turn_rad, int width_index) const {
    constexpr int kPieces = 10;
    const Eigen::VectorXd& x = fit_.unknowns;
    CalibrationRun run;
    run.whole_path = true;
    double l = 0.0;
    double r = 0.0;
    run.wheels.push_back({});
    const auto roll = [&](double left_m, double right_m) {
      for (int i = 0; i < kPieces; ++i) {
        l += left_m / kPieces;
        r += right_m / kPieces;
        run.wheels.push_back({0.0, static_cast<std::int64_t>(std::llround(l / left(x))),
                              static_cast<std::int64_t>(std::llround(r / right(x)))});
      }
    };
    for (const double way : ways_m) {
      if (way != 0.0) roll(way, way);
      const double around = 0.5 * turn_rad * width(x, width_index);
      if (turn_rad != 0.0) roll(-around, around);
    }
    run.forward_m = run.left_m = run.turn_rad = 0.0;
    return run;
  }

  ExpectedError expected_error(const std::string& name, const std::vector<double>& ways_m, double turn_rad,
                               int width_index) const {
    const CalibrationRun run = imagined(ways_m, turn_rad, width_index);
    const Eigen::VectorXd& x = fit_.unknowns;
    Eigen::MatrixXd derivatives = Eigen::MatrixXd::Zero(3, unknowns());
    constexpr double kStep = 1e-5;
    for (const int unknown : {kLeft, kRight, width_index}) {
      const auto moved = [&](double step) {
        Eigen::VectorXd changed = x;
        changed[unknown] += step;
        return end_of_run(run.wheels, left(changed), right(changed), width(changed, width_index));
      };
      const Pose2 more = moved(kStep);
      const Pose2 less = moved(-kStep);
      derivatives.col(unknown) =
          Eigen::Vector3d(more.x_m - less.x_m, more.y_m - less.y_m, more.heading_rad - less.heading_rad) /
          (2.0 * kStep);
    }
    const Eigen::Matrix3d covariance = derivatives * covariance_ * derivatives.transpose();
    const auto steps = steps_of(run.wheels, left(x), right(x), width(x, width_index), noise_);
    const Eigen::Matrix3d scatter = stretch_covariance(steps, noise_, 0.0, steps.back().end_s);
    ExpectedError error;
    error.drive = name;
    error.along_m = std::sqrt(covariance(0, 0));
    error.across_m = std::sqrt(covariance(1, 1));
    error.turn_rad = std::sqrt(covariance(2, 2));
    error.scatter_m = scatter_[turn_rad == 0.0 ? kWays : kPlaces] * std::sqrt(scatter(0, 0) + scatter(1, 1));
    error.scatter_rad = scatter_[kTurns] * std::sqrt(scatter(2, 2));
    return error;
  }

  std::vector<ExpectedError> expected_errors() const {
    std::vector<ExpectedError> errors;
    errors.push_back(expected_error("2 m straight ahead", {2.0}, 0.0, kFirstWidth));
    for (const auto& [name, index] : surfaces_) {
      errors.push_back(expected_error("a turn of 90° on " + name, {0.0}, 90.0 * kDegree, kFirstWidth + index));
    }
    for (const auto& [name, index] : surfaces_) {
      errors.push_back(expected_error("10 m with four turns of 90° on " + name, {2.5, 2.5, 2.5, 2.5}, 90.0 * kDegree,
                                      kFirstWidth + index));
    }
    return errors;
  }

  MoreRuns more_runs() const {
    MoreRuns more;
    int largest = 0;
    for (int i = 0; i < unknowns(); ++i) {
      const double relative = std::sqrt(covariance_(i, i)) / std::abs(fit_.unknowns[i]);
      if (relative <= more.relative_sd) continue;
      more.relative_sd = relative;
      largest = i;
    }
    more.constant = largest == kLeft ? "left_m_per_tick" : largest == kRight ? "right_m_per_tick" : "";
    for (const auto& [name, index] : surfaces_) {
      if (kFirstWidth + index == largest) more.constant = "track_width_m on " + name;
    }
    const auto consider = [&](const std::string& kind, const std::vector<double>& ways_m, double turn_rad, int width) {
      const int count = runs_for_half(imagined(ways_m, turn_rad, width), width, largest);
      if (count == 0 || (more.count != 0 && count >= more.count)) return;
      more.count = count;
      more.kind = kind;
    };
    consider("straights of 2 m with forward_m, left_m and turn_deg", {2.0}, 0.0, kFirstWidth);
    for (const auto& [name, index] : surfaces_) {
      consider("turns of 720° on the spot on " + name + ", half of them each way", {0.0}, 720.0 * kDegree,
               kFirstWidth + index);
      consider("squares of 2 m on " + name + ", half of them each way", {2.0, 2.0, 2.0, 2.0}, 90.0 * kDegree,
               kFirstWidth + index);
    }
    return more;
  }

  /// How many more of a run bring an unknown's standard uncertainty to a half; 0: more than 1000.
  int runs_for_half(CalibrationRun run, int width_index, int unknown) const {
    const Eigen::VectorXd& x = fit_.unknowns;
    const Eigen::MatrixXd weight = weight_of(run, x, width_index);
    const bool straight = std::abs(end_of_run(run.wheels, left(x), right(x), width(x, width_index)).heading_rad) < 0.1;
    const ResidualFunction ends = [&](const Eigen::VectorXd& at) -> Eigen::VectorXd {
      const Pose2 end = end_of_run(run.wheels, left(at), right(at), width(at, width_index));
      Eigen::VectorXd values = weight * Eigen::Vector3d(end.heading_rad, end.y_m, end.x_m);
      values[kTurn] /= scatter_[kTurns];
      values[kSideways] /= scatter_[kPlaces];
      values[kForward] /= scatter_[straight ? kWays : kPlaces];
      return values;
    };
    const Eigen::MatrixXd jacobian = evaluate_squares(ends, x).jacobian;
    const Eigen::MatrixXd one = jacobian.transpose() * jacobian;
    const Eigen::MatrixXd now = covariance_.inverse();
    const auto variance = [&](int count) { return (now + count * one).inverse()(unknown, unknown); };
    constexpr int kMost = 1000;
    const double wanted = 0.25 * covariance_(unknown, unknown);
    if (variance(kMost) > wanted) return 0;
    int low = 0;
    int high = kMost;
    while (high - low > 1) {
      const int middle = (low + high) / 2;
      (variance(middle) > wanted ? low : high) = middle;
    }
    return high;
  }

  static constexpr double kFewestDegrees = 4.0;

  const std::vector<CalibrationRun>& runs_;
  RunCalibrationOptions options_;
  OdometryNoise noise_;
  DriveConstants stated_;
  std::map<std::string, int> surfaces_;
  std::vector<Row> rows_;
  Eigen::VectorXd start_;
  std::vector<Eigen::MatrixXd> weights_;
  std::array<double, kGroups> scatter_{1.0, 1.0, 1.0};
  std::array<double, kGroups> surplus_{};
  LeastSquares fit_;
  Eigen::MatrixXd covariance_;
  Eigen::VectorXd leverages_;
};

}  // namespace

double RunCalibration::width_m(const std::string& surface) const {
  for (const SurfaceWidth& known : surfaces) {
    if (known.surface == surface) return known.width_m.value;
  }
  throw std::out_of_range("no run was on the surface " + surface);
}

Pose2 end_of_run(const std::vector<WheelCounts>& wheels, double left_m_per_tick, double right_m_per_tick,
                 double track_width_m) {
  Pose2 pose;
  for (std::size_t i = 1; i < wheels.size(); ++i) {
    const double left = static_cast<double>(wheels[i].left_ticks - wheels[i - 1].left_ticks) * left_m_per_tick;
    const double right = static_cast<double>(wheels[i].right_ticks - wheels[i - 1].right_ticks) * right_m_per_tick;
    pose = pose * exp({0.5 * (left + right), 0.0, (right - left) / track_width_m});
  }
  return pose;
}

RunCalibration calibrate_runs(const CalibrationRuns& runs, const RunCalibrationOptions& options) {
  return Estimator(runs, options).run();
}

}  // namespace wainscot
