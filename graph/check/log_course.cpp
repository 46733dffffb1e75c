#include "graph/check/log_course.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <utility>

#include "core/angles.hpp"
#include "core/median.hpp"
#include "core/odometry.hpp"
#include "graph/sentence.hpp"

namespace wainscot {
namespace {

constexpr double kMeanS = 0.2;  // a row's own speed is mostly the counter's coarseness

/// Means of a rate over `kMeanS` and more of what was gone through in it.
class Means {
 public:
  explicit Means(TimedValues& values) : values_(values) {}

  void add(double begin_s, double end_s, double change) {
    if (time_s_ == 0.0) begin_s_ = begin_s;
    time_s_ += end_s - begin_s;
    change_ += change;
    if (time_s_ < kMeanS) return;
    values_.add(0.5 * (begin_s_ + end_s), change_ / time_s_);
    time_s_ = change_ = 0.0;
  }

  /// What lies between now and what comes next is not known.
  void part() {
    time_s_ = change_ = 0.0;
    values_.part();
  }

 private:
  TimedValues& values_;
  double begin_s_ = 0.0;
  double time_s_ = 0.0;
  double change_ = 0.0;
};

template <typename Row>
std::vector<double> row_times_s(const std::vector<Row>& rows) {
  std::vector<double> times_s;
  times_s.reserve(rows.size());
  for (const Row& row : rows) times_s.push_back(row.time_s);
  return times_s;
}

/// An interval so much longer than most has rows missing in it. Rows that come in bunches have two intervals, and the
/// longer one is usual too.
double longest_without_hole_s(const std::vector<double>& times_s) {
  // Where less than one row in ten is lost, the 90 % quantile is no hole; a lost row makes an interval twice as long,
  // and 1.5 lies between; holes of less than 0.1 s cannot be seen in the picture.
  constexpr double kMost = 0.9;
  constexpr double kFold = 1.5;
  constexpr double kShortestS = 0.1;
  std::vector<double> intervals;
  for (std::size_t i = 1; i < times_s.size(); ++i) intervals.push_back(times_s[i] - times_s[i - 1]);
  return std::max(kFold * quantile(std::move(intervals), kMost), kShortestS);
}

/// ": 11 times, 4.7 s".
std::string how_often(const std::vector<TimeSpan>& spans) {
  if (spans.empty()) return ": never";
  double in_all_s = 0.0;
  for (const TimeSpan& span : spans) in_all_s += span.end_s - span.begin_s;
  return sentence(": %zu %s, %.1f s", spans.size(), spans.size() == 1 ? "time" : "times", in_all_s);
}

void add_holes(const std::vector<double>& times_s, const char* what, LogCourse& course) {
  const double longest_s = longest_without_hole_s(times_s);
  NamedSpans holes;
  for (std::size_t i = 1; i < times_s.size(); ++i) {
    if (times_s[i] - times_s[i - 1] > longest_s) holes.spans.push_back({times_s[i - 1], times_s[i]});
  }
  holes.name = sentence("no %s for %.2f s", what, longest_s) + how_often(holes.spans);
  course.holes.push_back(std::move(holes));
}

void add_breaks(const Drive& drive, const std::vector<double>& times_s, LogCourse& course) {
  NamedSpans breaks;
  for (const std::size_t row : drive.breaks) breaks.spans.push_back({times_s[row - 1], times_s[row]});
  breaks.name = (drive.wheels.empty() ? "odometry jumps" : "a counter restarts or jumps") + how_often(breaks.spans);
  course.holes.push_back(std::move(breaks));
}

/// Where `moved(i)`, of row i against the one before, is false for a second and more.
template <typename Moved>
void add_standing(const std::vector<double>& times_s, const char* what, const Moved& moved, LogCourse& course) {
  constexpr double kLongS = 1.0;  // shorter ones cannot be seen in the picture
  NamedSpans standing;
  std::size_t first = 0;
  for (std::size_t i = 1; i <= times_s.size(); ++i) {
    if (i < times_s.size() && !moved(i)) continue;
    if (const TimeSpan span{times_s[first], times_s[i - 1]}; span.end_s - span.begin_s >= kLongS) {
      standing.spans.push_back(span);
    }
    first = i;
  }
  standing.name = sentence("%s for 1 s", what) + how_often(standing.spans);
  course.holes.push_back(std::move(standing));
}

void add_wheels(const Drive& drive, LogCourse& course) {
  const std::vector<double> times_s = drive.wheels.empty() ? row_times_s(drive.odometry) : row_times_s(drive.wheels);
  if (times_s.empty()) return;
  course.by_odometry = drive.wheels.empty();
  const double longest_s = longest_without_hole_s(times_s);
  Means speed(course.wheels_m_s);
  Means turn(course.wheels_rad_s);
  for (const OdometryStep& step : odometry_steps(without_gyro(drive))) {
    if (step.unknown || step.end_s - step.begin_s > longest_s) {
      speed.part();
      turn.part();
      continue;
    }
    speed.add(step.begin_s, step.end_s, step.motion.x());
    turn.add(step.begin_s, step.end_s, step.motion.z());
  }
  add_holes(times_s, drive.wheels.empty() ? "odometry" : "row of the wheels", course);
  add_breaks(drive, times_s, course);
  if (drive.wheels.empty()) {
    const std::vector<TimedPose>& rows = drive.odometry;
    const auto moved = [&rows](std::size_t i) {
      const Pose2 step = between(rows[i - 1].pose, rows[i].pose);
      return step.x_m != 0.0 || step.y_m != 0.0 || step.heading_rad != 0.0;
    };
    add_standing(times_s, "odometry stands", moved, course);
    return;
  }
  const std::vector<WheelCounts>& rows = drive.wheels;
  const auto left = [&rows](std::size_t i) { return rows[i].left_ticks != rows[i - 1].left_ticks; };
  const auto right = [&rows](std::size_t i) { return rows[i].right_ticks != rows[i - 1].right_ticks; };
  add_standing(times_s, "the left counter stands", left, course);
  add_standing(times_s, "the right counter stands", right, course);
}

void add_gyro(const Drive& drive, LogCourse& course) {
  const std::vector<YawRate>& rows = drive.gyro;
  if (rows.size() < 2) return;
  const double longest_s = longest_without_hole_s(row_times_s(rows));
  const double scale = drive.robot.gyro.sign * drive.robot.gyro.scale;
  const double bias_rad_s = gyro_bias_rad_s(drive).value_or(0.0);
  Means rate(course.gyro_rad_s);
  for (std::size_t i = 1; i < rows.size(); ++i) {
    const double interval_s = rows[i].time_s - rows[i - 1].time_s;
    if (interval_s > longest_s) {
      rate.part();
      continue;
    }
    const double read = 0.5 * (rows[i - 1].yaw_rate_rad_s + rows[i].yaw_rate_rad_s);
    rate.add(rows[i - 1].time_s, rows[i].time_s, (scale * read - bias_rad_s) * interval_s);
  }
}

void set_time(const Drive& drive, const std::vector<Scan>& logged, LogCourse& course) {
  double begin_s = std::numeric_limits<double>::infinity();
  double end_s = -begin_s;
  const auto reach = [&](const auto& rows) {
    if (rows.empty()) return;
    begin_s = std::min(begin_s, rows.front().time_s);
    end_s = std::max(end_s, rows.back().time_s);
  };
  reach(drive.wheels);
  reach(drive.odometry);
  reach(drive.gyro);
  reach(logged);
  if (begin_s <= end_s) course.time = {begin_s, end_s};
}

}  // namespace

void TimedValues::add(double time, double number) {
  time_s.push_back(time);
  value.push_back(number);
}

void TimedValues::part() {
  if (value.empty() || std::isnan(value.back())) return;
  add(time_s.back(), std::numeric_limits<double>::quiet_NaN());
}

void add_rows(const Drive& drive, const std::vector<Scan>& logged, LogCourse& course) {
  set_time(drive, logged, course);
  add_wheels(drive, course);
  add_gyro(drive, course);
  for (const Scan& scan : logged) {
    course.returns.add(scan.time_s, static_cast<double>(scan.returns.size()));
    course.most_returns = std::max(course.most_returns, scan.returns.size());
  }
  if (!logged.empty()) add_holes(row_times_s(logged), "scan", course);
}

void add_scan_motion(const LidarMotion& motion, const LidarConstants& lidar, LogCourse& course) {
  const Pose2 mounting{lidar.x_m, lidar.y_m, kDegree * lidar.heading_deg};
  Means speed(course.scans_m_s);
  Means turn(course.scans_rad_s);
  for (const LidarStride& step : motion.steps) {
    if (!step.sure || !(step.end_s > step.begin_s)) {
      speed.part();
      turn.part();
      continue;
    }
    const Tangent2 moved = log(mounting * step.motion * inverse(mounting));
    speed.add(step.begin_s, step.end_s, moved.x());
    turn.add(step.begin_s, step.end_s, moved.z());
  }
}

void add_residuals(const std::vector<LidarStride>& strides, const RobotFit& fit, const ClockFit& clock,
                   LogCourse& course) {
  std::size_t last = 0;
  for (const StrideResidual& residual : fit.residuals) {
    if (residual.stride > last + 1) {
      course.apart_m.part();
      course.apart_rad.part();
    }
    last = residual.stride;
    const LidarStride& stride = strides[residual.stride];
    const double middle_s = clock.wheel_time_s(0.5 * (stride.begin_s + stride.end_s));
    course.apart_m.add(middle_s, residual.shift_m.norm());
    course.apart_rad.add(middle_s, std::abs(residual.turn_rad));
  }
}

LogCourse course_without_check(const LogReadings& readings, int threads) {
  LogCourse course;
  add_rows(readings.drive, readings.logged, course);
  if (!odometry_steps(without_gyro(readings.drive)).empty()) return course;
  const LidarConstants& lidar = readings.drive.robot.lidar;
  const TurnScans scans = turn_scans(readings.drive.scans, lidar);
  if (scans.scans.size() < 2 || scans.turn_s <= 0.0) return course;
  LidarMotionOptions options;
  options.sweep_s = scans.stated_s;
  options.threads = threads;
  add_scan_motion(follow_lidar(scans, lidar, options), lidar, course);
  return course;
}

}  // namespace wainscot
