#include "io/convert/motion_guess.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <utility>

#include "core/angles.hpp"
#include "core/median.hpp"
#include "graph/motion/wheel_series.hpp"

namespace wainscot {
namespace {

constexpr double kExplained =
    0.75;                        // of the lidar's turns; wheels that slip explain less than 1, anything else far less
constexpr double kWidthM = 0.3;  // of the wheels that are made of a pose: any will do

/// Records of one kind whose time is known, as every search below needs them.
struct TimedKind {
  const RecordKind* kind;
  MotionRecords records;
  std::vector<double> times_s;       ///< shifted
  std::vector<std::size_t> columns;  ///< that may tell of motion
  double most_offset_s = 1.0;        ///< for the clock's fit
  bool quick = true;                 ///< only what explains some of the turns without any shift is looked at closer
};

/// How a motion agrees with the lidar's turns.
struct TurnAgreement {
  ClockFit clock;
  double gain = 0.0;  ///< lidar's turn over this one's
};

WheelSeries series_of_headings(const std::vector<TimedPose>& poses) {
  Drive drive;
  drive.robot.drive = DriveConstants{};
  drive.robot.drive->track_width_m = kWidthM;
  drive.odometry = poses;
  return WheelSeries(drive);
}

/// How much of the variance of the lidar's turns two counts explain without any shift, 0..1.
double explained_unshifted(const LidarTrack& track, const WheelSeries& wheels) {
  double aa = 0.0, ab = 0.0, bb = 0.0, at = 0.0, bt = 0.0, tt = 0.0;
  for (const LidarStride& step : track.motion.steps) {
    if (!step.sure) continue;
    const CountPair c = wheels.change(step.begin_s, step.end_s);
    const double turn = step.motion.heading_rad;
    aa += c.left * c.left;
    ab += c.left * c.right;
    bb += c.right * c.right;
    at += c.left * turn;
    bt += c.right * turn;
    tt += turn * turn;
  }
  const double both = aa * bb - ab * ab;
  if (tt <= 0.0 || aa + bb <= 0.0) return 0.0;
  if (both <= 1e-9 * aa * bb) return (at * at + bt * bt) / (aa + bb) / tt;
  return (at * (bb * at - ab * bt) + bt * (aa * bt - ab * at)) / both / tt;
}

ClockFit fit_offset(const TimedKind& timed, const LidarTrack& track, const WheelSeries& wheels) {
  // Half a second late, the turns of a hobby robot still agree by more than that.
  constexpr double kSome = 0.25;
  if (wheels.empty() || (timed.quick && explained_unshifted(track, wheels) < kSome)) return {};
  ClockFitOptions options;
  options.most_offset_s = timed.most_offset_s;
  return fit_clock(track.motion.steps, wheels, options);
}

TurnAgreement agreement_of_headings(const TimedKind& timed, const LidarTrack& track,
                                    const std::vector<TimedPose>& poses) {
  const WheelSeries series = series_of_headings(poses);
  TurnAgreement found{fit_offset(timed, track, series), 0.0};
  if (found.clock.explained < kExplained) return found;
  double cross = 0.0, square = 0.0;
  for (const LidarStride& step : track.motion.steps) {
    if (!step.sure) continue;
    const CountPair c = series.change(found.clock.wheel_time_s(step.begin_s), found.clock.wheel_time_s(step.end_s));
    const double turn = (c.right - c.left) / kWidthM;
    cross += turn * step.motion.heading_rad;
    square += turn * turn;
  }
  found.gain = square > 0.0 ? cross / square : 0.0;
  return found;
}

bool is_constant(const std::vector<double>& values) {
  std::optional<double> first;
  for (const double v : values) {
    if (!std::isfinite(v)) continue;
    if (first && v != *first) return false;
    first = v;
  }
  return true;
}

bool is_whole(const std::vector<double>& values) {
  return std::all_of(values.begin(), values.end(), [](double v) { return !std::isfinite(v) || v == std::floor(v); });
}

/// Half of the records or more have a number there.
bool is_filled(const std::vector<double>& values) {
  const auto numbers = std::count_if(values.begin(), values.end(), [](double v) { return std::isfinite(v); });
  return 2 * numbers >= std::ssize(values);
}

/// The time of a kind that is likeliest on one clock with the lidar's.
std::optional<TimeGuess> time_of(const RecordKind& kind, const std::vector<double>& lidar_s, bool same_file,
                                 const std::string& lidar_unit) {
  constexpr double kSlowest = 0.9, kFastest = 2000.0, kUsual = 50.0;
  std::optional<TimeGuess> best;
  double best_score = -1.0;
  constexpr double kAlike = 3.0;  // logs of one drive are of about one length
  for (const TimeGuess& guess : guess_times(kind, kSlowest, kFastest, kUsual)) {
    if (guess.counts_rows && best) continue;  // the likelier ones come first
    std::vector<std::string> units = guess.other_units;
    units.insert(units.begin(), guess.unit);
    for (const std::string& unit : units) {
      const double unit_s = unit == "s" ? 1.0 : unit == "ms" ? 1e-3 : unit == "us" ? 1e-6 : 1e-9;
      const double begin = kind.columns[guess.column].values.front() * unit_s;
      const double end = kind.columns[guess.column].values.back() * unit_s;
      const double common = std::min(end, lidar_s.back()) - std::max(begin, lidar_s.front());
      const double shorter = std::min(end - begin, lidar_s.back() - lidar_s.front());
      const double ratio = (end - begin) / (lidar_s.back() - lidar_s.front());
      const bool one_clock = common > 0.5 * shorter && ratio < kAlike && ratio > 1.0 / kAlike;
      double score = one_clock ? 2.0 : 0.0;
      score += same_file && unit == lidar_unit ? 1.0 : 0.0;
      score += unit == guess.unit ? 0.1 : 0.0;
      if (score <= best_score) continue;
      best_score = score;
      best = guess;
      best->rows_per_s *= guess.unit_s / unit_s;
      best->unit = unit;
      best->unit_s = unit_s;
      best->sure = guess.sure || one_clock;
    }
  }
  return best;
}

std::optional<TimedKind> timed_kind(const LogSample& sample, const RangeGuess& ranges, std::size_t file, std::size_t k,
                                    const std::vector<double>& lidar_s) {
  constexpr double kSameClockS = 1.0, kTwoProgramsS = 15.0;
  const RecordKind& kind = sample.files[file].kinds[k];
  if (kind.records < 16) return std::nullopt;
  const bool with_ranges = file == ranges.file && k == ranges.kind;
  const auto time =
      with_ranges ? std::optional(ranges.time) : time_of(kind, lidar_s, file == ranges.file, ranges.time.unit);
  if (!time) return std::nullopt;
  TimedKind timed{&kind, {file, k, *time, false, 0.0, {}}, times_s(kind, *time), {}, kSameClockS};
  std::vector<double>& times = timed.times_s;
  const double common = std::min(times.back(), lidar_s.back()) - std::max(times.front(), lidar_s.front());
  const double shorter = std::min(times.back() - times.front(), lidar_s.back() - lidar_s.front());
  if (file != ranges.file) timed.most_offset_s = kTwoProgramsS;
  if (file != ranges.file && common < 0.5 * shorter) {
    timed.records.own_clock = true;
    timed.quick = false;
    timed.records.shift_s = lidar_s.front() - times.front();
    for (double& t : times) t += timed.records.shift_s;
  }
  for (std::size_t c = 0; c < kind.columns.size(); ++c) {
    const std::vector<double>& values = kind.columns[c].values;
    const bool of_beams = with_ranges && !ranges.array && (c == ranges.angle_column || c == ranges.range_column);
    if (c != time->column && !of_beams && !is_constant(values) && is_filled(values)) timed.columns.push_back(c);
  }
  return timed;
}

/// Rows up to a little behind the lidar's last one, with times that grow.
template <typename Make>
auto rows_of(const TimedKind& timed, const LidarTrack& track, Make make) {
  std::vector<decltype(make(std::size_t{0}))> rows;
  const double end_s = track.scans.scans.back().time_s + timed.most_offset_s + 2.0;
  double last = -std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < timed.times_s.size() && timed.times_s[i] <= end_s; ++i) {
    if (!(timed.times_s[i] > last)) continue;
    auto row = make(i);
    if (!std::isfinite(row.time_s)) continue;
    last = timed.times_s[i];
    rows.push_back(row);
  }
  return rows;
}

constexpr double kLeftOut = std::numeric_limits<double>::quiet_NaN();

/// Poses that only turn.
std::vector<TimedPose> heading_rows(const TimedKind& timed, const LidarTrack& track, std::size_t c, double unit_rad) {
  const std::vector<double>& values = timed.kind->columns[c].values;
  return rows_of(timed, track, [&](std::size_t i) {
    return std::isfinite(values[i]) ? TimedPose{timed.times_s[i], {0.0, 0.0, values[i] * unit_rad}}
                                    : TimedPose{kLeftOut, {}};
  });
}

std::vector<TimedPose> integrated_rows(const TimedKind& timed, const LidarTrack& track, std::size_t c) {
  constexpr double kLongestS = 1.0;  // a rate says nothing of a pause
  std::vector<TimedPose> rows = heading_rows(timed, track, c, kDegree);
  double heading = 0.0, rate = 0.0;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const double dt = i > 0 ? std::min(kLongestS, rows[i].time_s - rows[i - 1].time_s) : 0.0;
    heading += 0.5 * dt * (rate + rows[i].pose.heading_rad);
    rate = rows[i].pose.heading_rad;
    rows[i].pose.heading_rad = heading;
  }
  return rows;
}

bool is_one(double gain, double tolerance) { return std::abs(std::abs(gain) - 1.0) < tolerance; }

void find_gyros(const TimedKind& timed, const LidarTrack& track, MotionGuess& found) {
  constexpr double kOff = 0.15;
  for (const std::size_t c : timed.columns) {
    const TurnAgreement agreement = agreement_of_headings(timed, track, integrated_rows(timed, track, c));
    if (agreement.clock.explained < kExplained) continue;
    GyroGuess guess;
    guess.records = timed.records;
    guess.records.clock = agreement.clock;
    guess.column = c;
    const double as_rad = agreement.gain / kDegreesPerRadian;
    if (!is_one(agreement.gain, kOff) && !is_one(as_rad, kOff)) continue;
    guess.unit = is_one(agreement.gain, kOff) ? "deg/s" : "rad/s";
    guess.gain = std::abs(guess.unit == "deg/s" ? agreement.gain : as_rad);
    guess.against_lidar = agreement.gain < 0.0;
    found.gyros.push_back(guess);
  }
}

// ---- Wheels ----

/// One counter's rows as totals.
struct Counter {
  std::size_t column = 0;
  bool increments = false;
  bool whole = true;
  std::vector<double> totals;  ///< one a record
  int wraps_at_bits = 0;
  double usual_step = 0.0;  ///< that nine of ten of its changes stay below
};

constexpr double kPartsOfUnit = 1e5;  // of a way with decimals, as counts

/// Undoes wraps at 16 or 32 bits; says at which.
int unwrap_totals(std::vector<double>& totals) {
  for (const int bits : {16, 32}) {
    const double all = std::pow(2.0, bits);
    const auto [least, most] = std::minmax_element(totals.begin(), totals.end());
    if (*most - *least >= all || *most >= all || *least < -0.5 * all) continue;
    bool wrapped = false;
    double added = 0.0, last = totals.front();
    std::vector<double> unwrapped = totals;
    for (double& value : unwrapped) {
      if (!std::isfinite(value)) continue;
      const double step = value - last;
      last = value;
      if (std::abs(step) > 0.75 * all) {
        added -= step > 0.0 ? all : -all;
        wrapped = true;
      }
      value += added;
    }
    if (!wrapped) continue;
    totals = std::move(unwrapped);
    return bits;
  }
  return 0;
}

/// The same of increments that were taken from totals which wrapped.
int unwrap_increments(std::vector<double>& increments) {
  std::vector<double> sizes;
  for (const double v : increments) sizes.push_back(std::isfinite(v) ? std::abs(v) : 0.0);
  for (const int bits : {16, 32}) {
    const double all = std::pow(2.0, bits);
    const double largest = *std::max_element(sizes.begin(), sizes.end());
    // One or two among thousands, which no wheel comes to in a row.
    if (largest < 0.75 * all || largest > all || quantile(sizes, 0.99) > 0.1 * all) continue;
    for (double& v : increments) {
      if (std::abs(v) > 0.75 * all) v -= v > 0.0 ? all : -all;
    }
    return bits;
  }
  return 0;
}

std::optional<Counter> counter_of(const TimedKind& timed, std::size_t c, bool increments) {
  constexpr double kSmooth = 0.05;  // of what a total comes to, what one row adds at most
  Counter counter{c, increments, is_whole(timed.kind->columns[c].values), timed.kind->columns[c].values, 0, 0.0};
  std::vector<double>& totals = counter.totals;
  if (increments && counter.whole) counter.wraps_at_bits = unwrap_increments(totals);
  double last = 0.0;
  for (double& v : totals) {
    if (!std::isfinite(v)) v = increments ? 0.0 : last;
    last = v = increments ? last + v : v;
  }
  if (!increments && counter.whole) counter.wraps_at_bits = unwrap_totals(totals);
  // A count that stands beside each beam changes seldom.
  std::vector<double> steps;
  for (std::size_t i = 1; i < totals.size(); ++i) {
    if (totals[i] != totals[i - 1]) steps.push_back(std::abs(totals[i] - totals[i - 1]));
  }
  const auto [least, most] = std::minmax_element(totals.begin(), totals.end());
  counter.usual_step = quantile(steps, 0.9);
  if (!(quantile(steps, 0.99) < kSmooth * (*most - *least))) return std::nullopt;
  return counter;
}

std::vector<Counter> counters_of(const TimedKind& timed) {
  constexpr std::size_t kMost = 12;  // with all their pairs; logs of more columns have them in front
  std::vector<Counter> counters;
  for (const std::size_t c : timed.columns) {
    for (const bool increments : {false, true}) {
      if (counters.size() >= kMost) return counters;
      if (auto counter = counter_of(timed, c, increments)) counters.push_back(std::move(*counter));
    }
  }
  return counters;
}

Drive drive_of(const TimedKind& timed, const LidarTrack& track, const Counter& first, const Counter& second) {
  Drive drive;
  const double parts = first.whole ? 1.0 : kPartsOfUnit;
  drive.wheels = rows_of(timed, track, [&](std::size_t i) {
    return WheelCounts{timed.times_s[i], std::llround(first.totals[i] * parts), std::llround(second.totals[i] * parts)};
  });
  return drive;
}

/// Whether two columns change by about as much from row to row, as two wheels do.
bool are_alike(const Counter& a, const Counter& b) {
  constexpr double kAlike = 6.0;
  return a.usual_step < kAlike * b.usual_step && b.usual_step < kAlike * a.usual_step;
}

/// Whether two wheels of one robot can have these constants, and their ways are the lidar's.
bool are_wheels(const RobotFit& fit) {
  constexpr double kAlike = 4.0;
  constexpr double kWays = 2.0;  // a lidar off the middle goes further than the robot in turns
  if (fit.strides == 0) return false;
  const double ratio = std::abs(fit.left_m_per_tick / fit.right_m_per_tick);
  if (!(ratio < kAlike && ratio > 1.0 / kAlike)) return false;
  double way_m = 0.0;
  for (const StrideResidual& residual : fit.residuals) way_m += std::abs(residual.wheel_way_m);
  return !fit.drove || (way_m < kWays * fit.way_m && way_m > fit.way_m / kWays);
}

/// What decimals of a wheel are: metres, or the angle that it turned; false: speeds, or nothing of a wheel.
bool set_wheel_unit(WheelGuess& guess) {
  constexpr double kOff = 1.4;    // a robot's own constants may be off, the lidar's metre is not
  constexpr double kTicks = 1e6;  // as drive_conversion writes them
  const double metres = std::sqrt(std::abs(guess.fit.left_m_per_tick * guess.fit.right_m_per_tick));
  for (const auto& [unit, unit_m] : {std::pair("m", 1.0), std::pair("cm", 0.01), std::pair("mm", 0.001)}) {
    if (metres > unit_m * kOff || metres < unit_m / kOff) continue;
    guess.unit = unit;
    guess.ticks_of_unit = kTicks * unit_m;
    return true;
  }
  constexpr double kLeastRadiusM = 0.012, kMostRadiusM = 0.2;
  if (metres < kLeastRadiusM || metres > kMostRadiusM || guess.increments) return false;
  guess.unit = "rad";
  guess.ticks_of_unit = kTicks;
  return true;
}

void find_wheels(const TimedKind& timed, const LidarTrack& track, const std::vector<LidarStride>& strides,
                 MotionGuess& found) {
  const std::vector<Counter> counters = counters_of(timed);
  for (std::size_t a = 0; a < counters.size(); ++a) {
    for (std::size_t b = a + 1; b < counters.size(); ++b) {
      const Counter& first = counters[a];
      const Counter& second = counters[b];
      if (first.column == second.column || first.increments != second.increments || first.whole != second.whole ||
          !are_alike(first, second)) {
        continue;
      }
      const Drive drive = drive_of(timed, track, first, second);
      if (drive.wheels.size() < 16) continue;
      const WheelSeries series(drive);
      WheelGuess guess;
      guess.records = timed.records;
      guess.records.clock = fit_offset(timed, track, series);
      if (guess.records.clock.explained < kExplained) continue;
      guess.fit = fit_robot(strides, series, guess.records.clock, kWidthM);
      if (!are_wheels(guess.fit)) continue;
      guess.first = first.column;
      guess.second = second.column;
      guess.increments = first.increments;
      if (!first.whole) {
        guess.fit.left_m_per_tick *= kPartsOfUnit;
        guess.fit.right_m_per_tick *= kPartsOfUnit;
        if (!set_wheel_unit(guess)) continue;
      }
      const int bits = std::max(first.wraps_at_bits, second.wraps_at_bits);
      if (bits > 0) guess.wraps_at_bits = bits;
      found.wheels.push_back(std::move(guess));
    }
  }
}

// ---- Poses ----

struct HeadingColumn {
  std::size_t column = 0;
  const char* unit = "rad";
  double unit_rad = 1.0;
  ClockFit clock;
};

std::vector<HeadingColumn> headings_of(const TimedKind& timed, const LidarTrack& track) {
  constexpr double kOff = 0.15;
  std::vector<HeadingColumn> headings;
  for (const std::size_t c : timed.columns) {
    for (const auto& [unit, unit_rad] : {std::pair("deg", kDegree), std::pair("rad", 1.0)}) {
      const TurnAgreement agreement = agreement_of_headings(timed, track, heading_rows(timed, track, c, unit_rad));
      if (agreement.clock.explained < kExplained || !is_one(agreement.gain, kOff)) continue;
      headings.push_back({c, unit, unit_rad, agreement.clock});
    }
  }
  return headings;
}

/// Share of the way of two columns that goes where the heading points; negative: against it.
struct Arcs {
  double along = 0.0;
  double way = 0.0;
};

Arcs arcs_of(const TimedKind& timed, std::size_t x, std::size_t y, const HeadingColumn& heading, double y_sign) {
  const std::vector<SampleColumn>& columns = timed.kind->columns;
  // About five a second: between rows that follow faster, rounding is most of it.
  const auto stride = static_cast<std::size_t>(std::max(1.0, timed.records.time.rows_per_s / 5.0));
  Arcs arcs;
  for (std::size_t i = stride; i < timed.times_s.size(); i += stride) {
    const double dx = columns[x].values[i] - columns[x].values[i - stride];
    const double dy = y_sign * (columns[y].values[i] - columns[y].values[i - stride]);
    const double from = columns[heading.column].values[i - stride] * heading.unit_rad;
    const double to = columns[heading.column].values[i] * heading.unit_rad;
    if (!std::isfinite(dx + dy + from + to)) continue;
    const double middle = from + 0.5 * std::remainder(to - from, 2.0 * std::numbers::pi);
    arcs.along += dx * std::cos(middle) + dy * std::sin(middle);
    arcs.way += std::hypot(dx, dy);
  }
  return arcs;
}

std::vector<TimedPose> pose_rows(const TimedKind& timed, const LidarTrack& track, const OdometryGuess& guess,
                                 double unit_rad) {
  const std::vector<SampleColumn>& columns = timed.kind->columns;
  const double y_sign = guess.flipped ? -1.0 : 1.0;
  return rows_of(timed, track, [&](std::size_t i) {
    const Pose2 pose{columns[guess.x].values[i] * guess.unit_m, y_sign * columns[guess.y].values[i] * guess.unit_m,
                     columns[guess.heading].values[i] * unit_rad};
    return std::isfinite(pose.x_m + pose.y_m + pose.heading_rad) ? TimedPose{timed.times_s[i], pose}
                                                                 : TimedPose{kLeftOut, {}};
  });
}

/// The unit that makes the way of the poses the lidar's.
void set_length_unit(OdometryGuess& guess, const std::vector<TimedPose>& poses, const LidarTrack& track) {
  double way = 0.0;
  const auto stride = std::max<std::size_t>(1, poses.size() / track.motion.steps.size());
  for (std::size_t i = stride; i < poses.size(); i += stride) {
    way += (poses[i].pose.translation() - poses[i - stride].pose.translation()).norm();
  }
  double best_off = std::numeric_limits<double>::infinity();
  for (const auto& [unit, unit_m] : {std::pair("m", 1.0), std::pair("cm", 0.01), std::pair("mm", 0.001)}) {
    const double off = std::abs(std::log(way * unit_m / track.way_m));
    if (off >= best_off) continue;
    best_off = off;
    guess.unit = unit;
    guess.unit_m = unit_m;
  }
}

void find_odometry(const TimedKind& timed, const LidarTrack& track, const std::vector<LidarStride>& strides,
                   MotionGuess& found) {
  constexpr double kAlong = 0.9;
  for (const HeadingColumn& heading : headings_of(timed, track)) {
    for (const std::size_t x : timed.columns) {
      for (const std::size_t y : timed.columns) {
        if (x == y || x == heading.column || y == heading.column) continue;
        for (const bool flipped : {false, true}) {
          const Arcs arcs = arcs_of(timed, x, y, heading, flipped ? -1.0 : 1.0);
          if (!(std::abs(arcs.along) > kAlong * arcs.way)) continue;
          OdometryGuess guess;
          guess.records = timed.records;
          guess.records.clock = heading.clock;
          guess.x = x;
          guess.y = y;
          guess.heading = heading.column;
          guess.heading_unit = heading.unit;
          guess.flipped = flipped;
          guess.arcs = arcs.along / arcs.way;
          set_length_unit(guess, pose_rows(timed, track, guess, heading.unit_rad), track);
          Drive drive;
          drive.odometry = pose_rows(timed, track, guess, heading.unit_rad);
          guess.fit = fit_robot(strides, WheelSeries(drive), guess.records.clock, track_width_m(drive.robot));
          found.odometry.push_back(std::move(guess));
        }
      }
    }
  }
}

/// Whether anything was found.
bool find_all(const TimedKind& timed, const LidarTrack& track, const std::vector<LidarStride>& strides,
              MotionGuess& found) {
  const auto count = [&found] { return found.wheels.size() + found.odometry.size() + found.gyros.size(); };
  const std::size_t before = count();
  find_wheels(timed, track, strides, found);
  find_odometry(timed, track, strides, found);
  find_gyros(timed, track, found);
  return count() > before;
}

}  // namespace

MotionGuess guess_motion(const LogSample& sample, const RangeGuess& ranges, const LidarTrack& track) {
  MotionGuess found;
  if (!track.tells()) return found;
  std::vector<double> lidar_s;
  for (const Scan& scan : track.scans.scans) lidar_s.push_back(scan.time_s);
  const std::vector<LidarStride> strides = long_strides(track.scans, track.motion, track.lidar, track.options);
  for (std::size_t file = 0; file < sample.files.size(); ++file) {
    for (std::size_t kind = 0; kind < sample.files[file].kinds.size(); ++kind) {
      auto timed = timed_kind(sample, ranges, file, kind, lidar_s);
      if (!timed) continue;
      if (find_all(*timed, track, strides, found) || !timed->quick || file == ranges.file) continue;
      // Two programs' clocks may be seconds apart.
      timed->quick = false;
      find_all(*timed, track, strides, found);
    }
  }
  // What a controller wants (a motor's power) explains the turns less well than what a wheel did.
  const auto by_explained = [](const auto& a, const auto& b) {
    return a.records.clock.explained > b.records.clock.explained;
  };
  std::stable_sort(found.wheels.begin(), found.wheels.end(), by_explained);
  std::stable_sort(found.gyros.begin(), found.gyros.end(), by_explained);
  std::stable_sort(found.odometry.begin(), found.odometry.end(),
                   [](const OdometryGuess& a, const OdometryGuess& b) { return std::abs(a.arcs) > std::abs(b.arcs); });
  return found;
}

}  // namespace wainscot
