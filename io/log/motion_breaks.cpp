#include "io/log/motion_breaks.hpp"

#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "core/median.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

// What is possible in one step. The drive's own ordinary speeds set the measure; the limits keep a robot that stands
// most of the time, or a log full of jumps, from setting it too low or too high.
constexpr double kTimesOrdinary = 5.0;
constexpr double kOrdinaryShare = 0.95;  // of the steps that moved
constexpr double kAlwaysPossible_m_s = 1.0;
constexpr double kNeverPossible_m_s = 10.0;
constexpr double kAlwaysPossible_rad_s = 3.0;
constexpr double kNeverPossible_rad_s = 40.0;

/// What no step of a drive exceeds. Where most steps are beyond what is ever possible, it is the log's unit that is
/// wrong and not each of them (0.3 m/s in millimetres is 300): then the drive's own speeds alone tell a jump.
double fastest(const std::vector<double>& speeds, double always_possible, double never_possible) {
  const double ordinary = kTimesOrdinary * quantile(speeds, kOrdinaryShare);
  return quantile(speeds, 0.5) > never_possible ? ordinary : std::clamp(ordinary, always_possible, never_possible);
}

// A pause this many times longer than the usual step is long enough for the robot to have been switched off.
constexpr double kPause = 5.0;
// After it, a log that is this near to its origin, and was this far before, has begun anew.
constexpr double kNearOrigin_m = 0.05;
constexpr double kNearOriginShare = 0.1;  // of the distance before
constexpr double kFarFromOrigin_m = 0.3;

// Without a pause, a step exactly to the origin is a restart where it is longer than this and than its neighbours by
// far: coarse encoders swing by a tick of a centimetre.
constexpr double kLongStep_m = 0.02;
constexpr double kTimesNeighbours = 3.0;

// Rows are often stamped late and in bursts, so that the time between two of them says little: a step may have taken as
// long as the longest one near it, up to this time.
constexpr std::size_t kBurstRows = 8;
constexpr double kBurst_s = 0.2;

// How long each step may really have taken.
std::vector<double> possible_times_s(const std::vector<LogStep>& steps) {
  std::vector<double> times;
  for (std::size_t i = 0; i < steps.size(); ++i) {
    double longest = 0.0;
    for (std::size_t k = i - std::min(i, kBurstRows); k < std::min(i + kBurstRows + 1, steps.size()); ++k) {
      longest = std::max(longest, steps[k].time_s);
    }
    times.push_back(std::max(steps[i].time_s, std::min(longest, kBurst_s)));
  }
  return times;
}

// Tells a step that cannot have been driven from one that can.
class Plausibility {
 public:
  explicit Plausibility(const std::vector<LogStep>& steps) : times_s_(possible_times_s(steps)) {
    std::vector<double> intervals;
    std::vector<double> speeds;
    std::vector<double> turn_rates;
    for (std::size_t i = 0; i < steps.size(); ++i) {
      intervals.push_back(steps[i].time_s);
      if (steps[i].way_m > 0.0) speeds.push_back(steps[i].way_m / times_s_[i]);
      if (steps[i].turn_rad > 0.0) turn_rates.push_back(steps[i].turn_rad / times_s_[i]);
    }
    usual_interval_s_ = quantile(std::move(intervals), 0.5);
    speed_m_s_ = fastest(speeds, kAlwaysPossible_m_s, kNeverPossible_m_s);
    turn_rate_rad_s_ = fastest(turn_rates, kAlwaysPossible_rad_s, kNeverPossible_rad_s);
  }

  // `row` is where the step begins; a step over several rows takes the time of the first one at least.
  bool is_possible(const LogStep& step, std::size_t row) const {
    const double time_s = std::max(step.time_s, times_s_[row]);
    return step.way_m <= speed_m_s_ * time_s && step.turn_rad <= turn_rate_rad_s_ * time_s;
  }

  bool is_pause(const LogStep& step) const { return step.time_s > std::max(kPause * usual_interval_s_, kBurst_s); }

 private:
  std::vector<double> times_s_;
  double usual_interval_s_ = 0.0;
  double speed_m_s_ = 0.0;
  double turn_rate_rad_s_ = 0.0;
};

bool is_restart(const LogView& log, const Plausibility& plausibility, std::size_t i, const LogStep& step) {
  const double before = log.from_origin_m(i - 1);
  const double after = log.from_origin_m(i);
  if (plausibility.is_pause(step)) {
    return before > kFarFromOrigin_m && after < std::max(kNearOrigin_m, kNearOriginShare * before);
  }
  if (after > 0.0) return false;
  double usual = 0.0;
  if (i >= 2) usual = std::max(usual, log.step(i - 2, i - 1).way_m);
  if (i + 1 < log.size) usual = std::max(usual, log.step(i, i + 1).way_m);
  return step.way_m > kTimesNeighbours * usual + kLongStep_m;
}

}  // namespace

MotionBreaks find_breaks(const LogView& log) {
  std::vector<LogStep> steps;
  for (std::size_t i = 1; i < log.size; ++i) steps.push_back(log.step(i - 1, i));
  const Plausibility plausibility(steps);
  MotionBreaks breaks;
  for (std::size_t i = 1; i < log.size; ++i) {
    const LogStep& step = steps[i - 1];
    if (plausibility.is_possible(step, i - 1)) {
      if (is_restart(log, plausibility, i, step)) breaks.at.push_back(i);
      continue;
    }
    const bool back_again = i + 1 < log.size && !plausibility.is_possible(steps[i], i) &&
                            plausibility.is_possible(log.step(i - 1, i + 1), i - 1);
    if (back_again) {
      breaks.outliers.push_back(i);
      ++i;
    } else {
      breaks.at.push_back(i);
    }
  }
  return breaks;
}

void warn_of_breaks(const MotionBreaks& breaks, const LogView& log, const std::string& file, const std::string& what,
                    std::vector<std::string>& warnings) {
  constexpr std::size_t kMostShown = 5;
  for (std::size_t k = 0; k < breaks.at.size(); ++k) {
    if (k == kMostShown) {
      warnings.push_back(fmt::format("{}: and {} more such breaks; check the units and the wiring", file,
                                     breaks.at.size() - kMostShown));
      break;
    }
    const std::size_t i = breaks.at[k];
    warnings.push_back(fmt::format("{}: {} between {:.3f} and {:.3f} s; the motion there is taken as unknown", file,
                                   what, log.time_s(i - 1), log.time_s(i)));
  }
  if (!breaks.outliers.empty()) {
    warnings.push_back(fmt::format("{}: {} that no robot could have driven, left out; the first at {:.3f} s", file,
                                   count_text(breaks.outliers.size(), "single row"),
                                   log.time_s(breaks.outliers.front())));
  }
}

}  // namespace wainscot
