#include "graph/check/log_contents.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>

#include "core/median.hpp"
#include "core/odometry.hpp"
#include "graph/check/dead_counter.hpp"

namespace wainscot {
namespace {

constexpr double kAbout = 0.25;  // of an interval: half of all gaps that know no pace lie so near to a whole number

bool is_whole(double ratio) { return std::abs(ratio - std::round(ratio)) < kAbout; }

/// Gaps between rows, by the usual interval: which of them are of lost rows.
class Gaps {
 public:
  void add(double ratio, double interval_s) {
    constexpr double kPauseS = 0.5;  // in which a robot may start, turn and stop
    constexpr double kLong = 4.5;    // beyond, jitter says nothing of whole numbers
    if (ratio < 1.5) return;
    const auto rows = static_cast<std::size_t>(std::lround(ratio)) - 1;
    if (ratio > kLong) {
      in_pauses_ += interval_s > kPauseS ? rows : 0;
      return;
    }
    (is_whole(ratio) ? whole_ : broken_) += 1;
    if (!is_whole(ratio)) return;
    (rows == 1 ? single_ : several_) += 1;
    in_gaps_ += rows;
  }

  /// Rows get lost one here, one there: single ones are the most frequent, and a gap is a whole number of intervals. A
  /// log that leaves out some rows each time, or whose rows come as they come, has lost none.
  std::size_t lost() const {
    if (several_ > single_ || broken_ >= whole_) return in_pauses_;
    return in_pauses_ + in_gaps_ * (whole_ - broken_) / (whole_ + broken_);
  }

 private:
  std::size_t whole_ = 0, broken_ = 0;
  std::size_t single_ = 0, several_ = 0;
  std::size_t in_gaps_ = 0, in_pauses_ = 0;
};

Pace pace_of(const std::vector<double>& times_s) {
  Pace pace;
  pace.rows = times_s.size();
  std::vector<double> intervals;
  for (std::size_t i = 1; i < times_s.size(); ++i) {
    intervals.push_back(times_s[i] - times_s[i - 1]);
    if (intervals.back() <= pace.longest_s) continue;
    pace.longest_s = intervals.back();
    pace.longest_at_s = times_s[i - 1];
  }
  pace.interval_s = median(intervals);
  if (pace.interval_s <= 0.0) return pace;
  Gaps gaps;
  std::size_t about = 0;
  std::size_t at_pace = 0;
  for (const double interval : intervals) {
    const double ratio = interval / pace.interval_s;
    about += std::abs(ratio - 1.0) < kAbout ? 1U : 0U;
    at_pace += ratio > 0.5 && is_whole(ratio) ? 1U : 0U;
    gaps.add(ratio, interval);
  }
  pace.steady = about > intervals.size() / 2 && 4 * at_pace > 3 * intervals.size();
  pace.lost = pace.steady ? gaps.lost() : 0;
  return pace;
}

/// More lost than what serial lines lose: a normal deviate of the count.
double surplus(std::size_t lost, std::size_t rows) {
  // Of rows, that serial lines lose: chosen by hand; half as much nags, twice as much hides bad cables.
  constexpr double kUsual = 0.02;
  const auto all = static_cast<double>(lost + rows);
  return (static_cast<double>(lost) - kUsual * all) / std::sqrt(kUsual * (1.0 - kUsual) * all + 1.0);
}

constexpr double kGateSd = 4.0;  // one log in 30,000 by chance, of a normal deviate

void find_lost(const Pace& pace, Fault fault, const char* what, const char* act, std::vector<Finding>& findings) {
  const double deviate = surplus(pace.lost, pace.rows);
  if (!pace.steady || deviate < kGateSd) return;
  Finding finding;
  finding.fault = fault;
  finding.what = sentence("%s are missing from the log", what);
  finding.figure = sentence("%zu of %zu, longest gap %.2f s at %.1f s", pace.lost, pace.lost + pace.rows,
                            pace.longest_s, pace.longest_at_s);
  finding.confidence = confidence_of(deviate * deviate, 1);
  finding.act = act;
  finding.time_s = pace.longest_at_s;
  findings.push_back(finding);
}

bool same_returns(const Scan& a, const Scan& b) {
  constexpr std::size_t kFewest = 20;  // whose noise never repeats by chance
  if (a.returns.size() != b.returns.size() || a.returns.size() < kFewest) return false;
  return std::equal(a.returns.begin(), a.returns.end(), b.returns.begin(), [](const Return& p, const Return& q) {
    return p.range_m == q.range_m && p.angle_rad == q.angle_rad;
  });
}

void find_doubled_scans(const Drive& drive, std::vector<Finding>& findings) {
  const std::vector<OdometryStep> steps = odometry_steps(without_gyro(drive));
  if (steps.empty()) return;
  const OdometryPath path(steps, {});
  constexpr double kMoved = 0.005;  // a lidar that moved so far never sees the same again
  std::size_t doubled = 0;
  std::size_t moving = 0;
  double first_s = 0.0;
  for (std::size_t i = 1; i < drive.scans.size(); ++i) {
    const double from = drive.scans[i - 1].time_s;
    const double to = drive.scans[i].time_s;
    const double moved = path.way_at_m(to) - path.way_at_m(from) + path.turned_at_rad(to) - path.turned_at_rad(from);
    if (moved < kMoved) continue;
    ++moving;
    if (!same_returns(drive.scans[i - 1], drive.scans[i])) continue;
    if (doubled == 0) first_s = to;
    ++doubled;
  }
  if (doubled < 2) return;
  Finding finding;
  finding.fault = Fault::doubled_scans;
  finding.what = "scans are logged twice, with a later time, while the robot moved";
  finding.figure = sentence("%zu of %zu scans in motion are the one before, return for return", doubled, moving);
  finding.confidence = confidence_of(1e9, 1);
  finding.act = "log a scan only when the lidar has finished a new turn, and remove those rows from the log";
  finding.time_s = first_s;
  findings.push_back(finding);
}

void find_doubled_rows(const Drive& drive, std::vector<Finding>& findings) {
  constexpr double kClearTicks = 8.0;  // on both sides: rolling wheels, not coarse counters
  const std::vector<WheelCounts>& rows = drive.wheels;
  std::size_t doubled = 0;
  std::size_t rolling = 0;
  const auto moved = [&rows](std::size_t i) {
    return static_cast<double>(std::abs(rows[i].left_ticks - rows[i - 1].left_ticks) +
                               std::abs(rows[i].right_ticks - rows[i - 1].right_ticks));
  };
  for (std::size_t i = 2; i + 1 < rows.size(); ++i) {
    if (moved(i - 1) < kClearTicks || moved(i + 1) < kClearTicks) continue;
    ++rolling;
    if (moved(i) == 0.0) ++doubled;
  }
  const double deviate = surplus(doubled, rolling);
  if (deviate < kGateSd) return;
  Finding finding;
  finding.fault = Fault::doubled_wheel_rows;
  finding.what = "rows of wheels.csv repeat the counts before while the wheels roll";
  finding.figure = sentence("%zu of %zu rows between rolling ones", doubled, rolling);
  finding.confidence = confidence_of(deviate * deviate, 1);
  finding.act = "log a row only when the counters were read anew, with the time of that reading";
  findings.push_back(finding);
}

void find_wrap(const Drive& drive, const Drive* with_16_bits, std::vector<Finding>& findings) {
  if (with_16_bits == nullptr || with_16_bits->breaks.size() >= drive.breaks.size()) return;
  Finding finding;
  finding.fault = Fault::counter_wraps;
  finding.what = "the counters wrap round at 16 bits";
  finding.figure = sentence("%zu jumps with counter_bits %d, %zu with 16", drive.breaks.size(),
                            drive.robot.drive->counter_bits, with_16_bits->breaks.size());
  finding.confidence = confidence_of(1e9, 1);
  finding.lines = {robot_line(with_16_bits->robot, "drive.counter_bits")};
  finding.time_s = drive.wheels[drive.breaks.front()].time_s;
  findings.push_back(finding);
}

}  // namespace

double way_between_scans_m(const Drive& drive) {
  constexpr double kLeverM = 0.3;  // a turn's worth in metres
  const std::vector<OdometryStep> steps = odometry_steps(without_gyro(drive));
  if (steps.empty()) return 0.0;
  const OdometryPath path(steps, {});
  std::vector<double> ways_m;
  for (std::size_t i = 1; i < drive.scans.size(); ++i) {
    const Pose2 moved = between(path.pose_at(drive.scans[i - 1].time_s), path.pose_at(drive.scans[i].time_s));
    ways_m.push_back(moved.translation().norm() + kLeverM * std::abs(moved.heading_rad));
  }
  return median(std::move(ways_m));
}

bool are_far_apart(double way_m) {
  constexpr double kFarM = 0.3;  // a lidar that turns twice a second on a robot that drives 0.6 m/s
  return way_m > kFarM;
}

Drive without_gyro(const Drive& drive) {
  Drive motion;
  motion.robot = drive.robot;
  motion.wheels = drive.wheels;
  motion.odometry = drive.odometry;
  motion.breaks = drive.breaks;
  return motion;
}

void set_motion(const Drive& drive, LogContents& contents) {
  const std::vector<OdometryStep> steps = odometry_steps(drive);
  if (steps.empty()) return;
  const OdometryPath path(steps, {});
  contents.way_m = path.way_at_m(path.end_s());
  contents.turned_rad = path.turned_at_rad(path.end_s());
  contents.most_m_s = contents.most_rad_s = 0.0;
  // Speeds are of half a second, so that ticks and jitter of stamps do not count; below 1 cm/s no robot drives. Chosen
  // by hand: only what is told depends on them.
  constexpr double kSpeedWindowS = 0.5;
  constexpr double kStandsM_S = 0.01;
  double windows = 0.0;
  double standing = 0.0;
  for (double t = path.begin_s(); t + kSpeedWindowS <= path.end_s(); t += kSpeedWindowS) {
    const double speed = (path.way_at_m(t + kSpeedWindowS) - path.way_at_m(t)) / kSpeedWindowS;
    const double rate = (path.turned_at_rad(t + kSpeedWindowS) - path.turned_at_rad(t)) / kSpeedWindowS;
    contents.most_m_s = std::max(contents.most_m_s, speed);
    contents.most_rad_s = std::max(contents.most_rad_s, rate);
    windows += 1.0;
    standing += speed + 0.3 * rate < kStandsM_S ? 1.0 : 0.0;
  }
  contents.standing_share = windows > 0.0 ? standing / windows : 0.0;
}

LogContents log_contents(const Drive& drive) {
  LogContents contents;
  std::vector<double> motion_s;
  for (const WheelCounts& row : drive.wheels) motion_s.push_back(row.time_s);
  for (const TimedPose& row : drive.odometry) motion_s.push_back(row.time_s);
  std::vector<double> scans_s;
  std::vector<double> returns;
  for (const Scan& scan : drive.scans) {
    scans_s.push_back(scan.time_s);
    returns.push_back(static_cast<double>(scan.returns.size()));
  }
  contents.motion = pace_of(motion_s);
  contents.scans = pace_of(scans_s);
  if (are_far_apart(way_between_scans_m(drive))) {  // a scan every so much of the way: the gaps are the robot's pauses
    contents.scans.steady = false;
    contents.scans.lost = 0;
  }
  contents.returns_per_scan = median(returns);
  contents.gyro_rows = drive.gyro.size();
  contents.breaks = drive.breaks.size();
  if (!motion_s.empty()) contents.duration_s = motion_s.back() - motion_s.front();
  set_motion(without_gyro(drive), contents);
  return contents;
}

std::vector<Finding> log_findings(const Drive& drive, const LogContents& contents, const Drive* with_16_bits) {
  std::vector<Finding> findings;
  find_wrap(drive, with_16_bits, findings);
  if (const std::optional<Finding> dead = dead_counter(drive)) findings.push_back(*dead);
  find_lost(contents.motion, Fault::lost_wheel_rows,
            drive.wheels.empty() ? "rows of odometry.csv" : "rows of wheels.csv",
            "read the counters in a loop of its own, or less often, so that none is missed", findings);
  find_doubled_rows(drive, findings);
  find_lost(contents.scans, Fault::lost_scans, "scans",
            "look at the lidar's cable and at what keeps the program that reads it busy; a faster serial line helps",
            findings);
  find_doubled_scans(drive, findings);
  return findings;
}

}  // namespace wainscot
