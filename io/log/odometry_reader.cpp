#include "io/log/odometry_reader.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <numbers>
#include <optional>

#include "core/errors.hpp"
#include "io/files/csv_reader.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

constexpr double kLargestPosition_m = 1e8;   // a surveyor's grid coordinates have seven digits
constexpr double kLargestHeading_rad = 1e6;  // whole turns count

// A step from one row to the next: its time and how far the robot's fastest part moved.
struct Step {
  double time_s = 0.0;
  double way_m = 0.0;
  double turn_rad = 0.0;
};

// What is possible in one step. The drive's own ordinary speeds set the measure; the limits keep a robot that stands
// most of the time, or a log full of jumps, from setting it too low or too high.
constexpr double kTimesOrdinary = 5.0;
constexpr double kOrdinaryShare = 0.95;  // of the steps that moved
constexpr double kAlwaysPossible_m_s = 1.0;
constexpr double kNeverPossible_m_s = 10.0;
constexpr double kAlwaysPossible_rad_s = 3.0;
constexpr double kNeverPossible_rad_s = 40.0;

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

double quantile(std::vector<double> values, double share) {
  if (values.empty()) return 0.0;
  const auto rank = static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), values.begin() + rank, values.end());
  return values[static_cast<std::size_t>(rank)];
}

// Rows are often stamped late and in bursts, so that the time between two of them says little: a step may have taken as
// long as the longest one near it, up to this time.
constexpr std::size_t kBurstRows = 8;
constexpr double kBurst_s = 0.2;

// How long each step may really have taken.
std::vector<double> possible_times_s(const std::vector<Step>& steps) {
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
  explicit Plausibility(const std::vector<Step>& steps) : times_s_(possible_times_s(steps)) {
    std::vector<double> intervals;
    std::vector<double> speeds;
    std::vector<double> turn_rates;
    for (std::size_t i = 0; i < steps.size(); ++i) {
      intervals.push_back(steps[i].time_s);
      if (steps[i].way_m > 0.0) speeds.push_back(steps[i].way_m / times_s_[i]);
      if (steps[i].turn_rad > 0.0) turn_rates.push_back(steps[i].turn_rad / times_s_[i]);
    }
    usual_interval_s_ = quantile(std::move(intervals), 0.5);
    speed_m_s_ = std::clamp(kTimesOrdinary * quantile(std::move(speeds), kOrdinaryShare), kAlwaysPossible_m_s,
                            kNeverPossible_m_s);
    turn_rate_rad_s_ = std::clamp(kTimesOrdinary * quantile(std::move(turn_rates), kOrdinaryShare),
                                  kAlwaysPossible_rad_s, kNeverPossible_rad_s);
  }

  // `row` is where the step begins; a step over several rows takes the time of the first one at least.
  bool is_possible(const Step& step, std::size_t row) const {
    const double time_s = std::max(step.time_s, times_s_[row]);
    return step.way_m <= speed_m_s_ * time_s && step.turn_rad <= turn_rate_rad_s_ * time_s;
  }

  bool is_pause(const Step& step) const { return step.time_s > std::max(kPause * usual_interval_s_, kBurst_s); }

 private:
  std::vector<double> times_s_;
  double usual_interval_s_ = 0.0;
  double speed_m_s_ = 0.0;
  double turn_rate_rad_s_ = 0.0;
};

// What a log of either kind must answer about its rows.
struct LogView {
  std::size_t size = 0;
  std::function<Step(std::size_t from, std::size_t to)> step;
  std::function<double(std::size_t row)> from_origin_m;  // distance from where a log begins after a restart
  std::function<double(std::size_t row)> time_s;
};

struct Breaks {
  std::vector<std::size_t> at;        // the step to this row is not known
  std::vector<std::size_t> outliers;  // this row alone is wrong, the steps over it are known
};

bool is_restart(const LogView& log, const Plausibility& plausibility, std::size_t i, const Step& step) {
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

Breaks find_breaks(const LogView& log) {
  std::vector<Step> steps;
  for (std::size_t i = 1; i < log.size; ++i) steps.push_back(log.step(i - 1, i));
  const Plausibility plausibility(steps);
  Breaks breaks;
  for (std::size_t i = 1; i < log.size; ++i) {
    const Step& step = steps[i - 1];
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

void warn_of_breaks(const Breaks& breaks, const LogView& log, const std::string& file, const std::string& what,
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

template <typename Row>
void remove_outliers(std::vector<Row>& rows, Breaks& breaks) {
  if (breaks.outliers.empty()) return;
  std::size_t kept = 0;
  std::size_t next = 0;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (next < breaks.outliers.size() && breaks.outliers[next] == i) {
      ++next;
    } else {
      rows[kept++] = rows[i];
    }
  }
  rows.resize(kept);
  for (std::size_t& at : breaks.at) {
    at -= static_cast<std::size_t>(std::lower_bound(breaks.outliers.begin(), breaks.outliers.end(), at) -
                                   breaks.outliers.begin());
  }
}

// Of rows with one time the last is the newest: it takes the place of the one before.
template <typename Row>
void append(std::vector<Row>& rows, const Row& row, std::size_t& merged) {
  if (!rows.empty() && rows.back().time_s == row.time_s) {
    rows.back() = row;
    ++merged;
  } else {
    rows.push_back(row);
  }
}

void warn_of_merged(std::size_t merged, const std::string& file, std::vector<std::string>& warnings) {
  if (merged == 0) return;
  warnings.push_back(
      fmt::format("{}: {} with the same time as the row after it, left out", file, count_text(merged, "row")));
}

// The step of a counter that wraps: the smallest that explains the two counts.
std::int64_t counter_step(std::int64_t from, std::int64_t to, int bits) {
  // Differences of far-apart 64-bit counts overflow a signed type; the unsigned one wraps by definition.
  const auto raw = static_cast<std::int64_t>(static_cast<std::uint64_t>(to) - static_cast<std::uint64_t>(from));
  const std::int64_t range = std::int64_t{1} << bits;
  if (raw >= -range / 2 && raw < range / 2) return raw;
  const std::int64_t reduced =
      static_cast<std::int64_t>(static_cast<std::uint64_t>(raw) & (static_cast<std::uint64_t>(range) - 1));
  return reduced >= range / 2 ? reduced - range : reduced;
}

// A count of at most 10^15 either way, so that no sum of steps overflows: a wheel of 0.1 mm a tick rolls round the
// equator two thousand times for it.
std::int64_t ticks(const CsvReader& table, std::size_t column) {
  constexpr std::int64_t kMostTicks = 1'000'000'000'000'000;
  const std::int64_t count = table.whole_number(column);
  if (count < -kMostTicks || count > kMostTicks) {
    table.fail(column, fmt::format("is {}, which no counter reaches; write the counter's value", count));
  }
  return count;
}

std::vector<WheelCounts> read_counts(FileReader& file, std::vector<std::string>& warnings) {
  CsvReader table(file, UnfinishedRow::drop, warnings);
  const auto columns = table.find_columns({"time_s", "left_ticks", "right_ticks"}, {});
  std::vector<WheelCounts> counts;
  std::size_t merged = 0;
  while (table.next_row()) {
    const double time_s = table.time(columns[0]);
    append(counts, WheelCounts{time_s, ticks(table, columns[1]), ticks(table, columns[2])}, merged);
  }
  warn_of_merged(merged, file.name(), warnings);
  counts.shrink_to_fit();
  return counts;
}

std::vector<TimedPose> read_poses(FileReader& file, std::vector<std::string>& warnings) {
  CsvReader table(file, UnfinishedRow::drop, warnings);
  const auto columns = table.find_columns({"time_s", "x_m", "y_m", "heading_rad"}, {});
  std::vector<TimedPose> poses;
  std::size_t merged = 0;
  while (table.next_row()) {
    const double time_s = table.time(columns[0]);
    const Pose2 pose{table.number_within(columns[1], kLargestPosition_m),
                     table.number_within(columns[2], kLargestPosition_m),
                     table.number_within(columns[3], kLargestHeading_rad)};
    append(poses, TimedPose{time_s, pose}, merged);
  }
  warn_of_merged(merged, file.name(), warnings);
  poses.shrink_to_fit();
  return poses;
}

// Logs wrap headings at +-180 degrees or at 360, and an interpolation across that step would spin the robot.
void unwrap_headings(std::vector<TimedPose>& poses) {
  for (std::size_t i = 1; i < poses.size(); ++i) {
    const double before = poses[i - 1].pose.heading_rad;
    double& heading = poses[i].pose.heading_rad;
    heading = before + std::remainder(heading - before, 2.0 * std::numbers::pi);
  }
}

}  // namespace

WheelLog read_wheels(FileReader& file, const DriveConstants& constants, std::vector<std::string>& warnings) {
  WheelLog log;
  log.counts = read_counts(file, warnings);
  std::vector<WheelCounts>& counts = log.counts;
  const int bits = constants.counter_bits;
  const double left_m = std::abs(constants.left_m_per_tick);
  const double right_m = std::abs(constants.right_m_per_tick);
  LogView view;
  view.size = counts.size();
  view.time_s = [&](std::size_t i) { return counts[i].time_s; };
  view.step = [&](std::size_t from, std::size_t to) {
    const auto left = static_cast<double>(counter_step(counts[from].left_ticks, counts[to].left_ticks, bits));
    const auto right = static_cast<double>(counter_step(counts[from].right_ticks, counts[to].right_ticks, bits));
    const double way = std::max(std::abs(left) * left_m, std::abs(right) * right_m);
    return Step{counts[to].time_s - counts[from].time_s, way, 0.0};
  };
  view.from_origin_m = [&](std::size_t i) {
    return std::max(std::abs(static_cast<double>(counts[i].left_ticks)) * left_m,
                    std::abs(static_cast<double>(counts[i].right_ticks)) * right_m);
  };
  Breaks breaks = find_breaks(view);
  warn_of_breaks(breaks, view, file.name(), "the counters restarted or jumped", warnings);
  remove_outliers(counts, breaks);

  WheelCounts raw = counts.front();
  for (std::size_t i = 1, next = 0; i < counts.size(); ++i) {
    const bool broken = next < breaks.at.size() && breaks.at[next] == i;
    if (broken) ++next;
    const WheelCounts now = counts[i];
    counts[i].left_ticks = counts[i - 1].left_ticks + (broken ? 0 : counter_step(raw.left_ticks, now.left_ticks, bits));
    counts[i].right_ticks =
        counts[i - 1].right_ticks + (broken ? 0 : counter_step(raw.right_ticks, now.right_ticks, bits));
    raw = now;
  }
  log.breaks = std::move(breaks.at);
  return log;
}

/// Mean of |cos| of the angle between the way that the robot takes and its heading, forwards or backwards; the headings
/// are multiplied by `unit_rad`. 1 where they agree, 0.64 where they have nothing to do with each other.
double agreement_with_way(const std::vector<TimedPose>& poses, double unit_rad) {
  constexpr double kStep_m = 0.05;
  double sum = 0.0;
  int count = 0;
  std::size_t from = 0;
  for (std::size_t i = 1; i < poses.size(); ++i) {
    const Eigen::Vector2d way = poses[i].pose.translation() - poses[from].pose.translation();
    if (way.norm() < kStep_m) continue;
    const double heading = 0.5 * unit_rad * (poses[i].pose.heading_rad + poses[from].pose.heading_rad);
    sum += std::abs(std::cos(std::atan2(way.y(), way.x()) - heading));
    ++count;
    from = i;
  }
  return count > 0 ? sum / count : 0.0;
}

void refuse_degrees(const std::vector<TimedPose>& poses, const std::string& name) {
  constexpr double kDegree_rad = std::numbers::pi / 180.0;
  if (agreement_with_way(poses, 1.0) < 0.85 && agreement_with_way(poses, kDegree_rad) > 0.95) {
    throw InputError(fmt::format(
        "{}: heading_rad seems to hold degrees, since the robot drives where they point; multiply them by pi / 180",
        name));
  }
}

PoseLog read_odometry(FileReader& file, std::vector<std::string>& warnings) {
  PoseLog log;
  log.poses = read_poses(file, warnings);
  refuse_degrees(log.poses, file.name());
  std::vector<TimedPose>& poses = log.poses;
  LogView view;
  view.size = poses.size();
  view.time_s = [&](std::size_t i) { return poses[i].time_s; };
  view.step = [&](std::size_t from, std::size_t to) {
    const Pose2& a = poses[from].pose;
    const Pose2& b = poses[to].pose;
    return Step{poses[to].time_s - poses[from].time_s, std::hypot(b.x_m - a.x_m, b.y_m - a.y_m),
                std::abs(wrap_angle(b.heading_rad - a.heading_rad))};
  };
  view.from_origin_m = [&](std::size_t i) { return std::hypot(poses[i].pose.x_m, poses[i].pose.y_m); };
  Breaks breaks = find_breaks(view);
  warn_of_breaks(breaks, view, file.name(), "the odometry jumped", warnings);
  remove_outliers(poses, breaks);
  unwrap_headings(poses);
  log.breaks = std::move(breaks.at);
  return log;
}

std::vector<TimedPose> read_truth(FileReader& file, std::vector<std::string>& warnings) {
  std::vector<TimedPose> poses = read_poses(file, warnings);
  unwrap_headings(poses);
  return poses;
}

}  // namespace wainscot
