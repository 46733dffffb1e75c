#include "graph/known/live_locator.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "graph/usable_scans.hpp"

namespace wainscot {
namespace {

// A robot that is driven by hand stands now and then; a hobby gyro's bias holds for minutes. Chosen by hand.
constexpr double kRememberedS = 30.0;

void require_time(const char* what, double time_s, std::optional<double> before_s) {
  if (!std::isfinite(time_s)) throw InputError(fmt::format("{}: the time is no number; give seconds", what));
  if (before_s && time_s < *before_s) {
    throw InputError(fmt::format(
        "{}: the time goes back from {:.6f} to {:.6f} s; give readings in the order in which they were made", what,
        *before_s, time_s));
  }
}

template <typename Row>
std::optional<double> last_time_s(const std::vector<Row>& rows) {
  return rows.empty() ? std::nullopt : std::optional<double>(rows.back().time_s);
}

/// Leaves out what is older but for two rows, in large pieces; returns how many rows.
template <typename Row>
std::size_t forget(double time_s, std::vector<Row>& rows) {
  const auto first = std::find_if(rows.begin(), rows.end(), [time_s](const Row& row) { return row.time_s >= time_s; });
  const auto old =
      std::min(static_cast<std::size_t>(first - rows.begin()), rows.size() - std::min<std::size_t>(rows.size(), 2));
  if (2 * old < rows.size()) return 0;
  rows.erase(rows.begin(), rows.begin() + static_cast<std::ptrdiff_t>(old));
  return old;
}

}  // namespace

LiveLocator::LiveLocator(const KnownMap& map, const Robot& robot, const LidarModel& lidar,
                         const LocatorOptions& options)
    : lidar_(lidar), locator_(map, range_noise(robot.lidar), options) {
  recent_.robot = robot;
}

void LiveLocator::note_break(std::size_t sample) {
  if (broken_ && sample > 0) recent_.breaks.push_back(sample);
  broken_ = false;
}

void LiveLocator::add_counts(const WheelCounts& counts) {
  if (!recent_.odometry.empty()) throw InputError("wheels: poses were given before; give one or the other");
  require_time("wheels", counts.time_s, last_time_s(recent_.wheels));
  note_break(recent_.wheels.size());
  recent_.wheels.push_back(counts);
}

void LiveLocator::add_pose(const TimedPose& pose) {
  if (!recent_.wheels.empty()) throw InputError("odometry: counts of wheels were given before; give one or the other");
  require_time("odometry", pose.time_s, last_time_s(recent_.odometry));
  note_break(recent_.odometry.size());
  recent_.odometry.push_back(pose);
}

void LiveLocator::add_yaw_rate(const YawRate& rate) {
  require_time("gyro", rate.time_s, last_time_s(recent_.gyro));
  recent_.gyro.push_back(rate);
}

void LiveLocator::add_scan(Scan scan) {
  require_time("scan", scan.time_s, waiting_.empty() ? before_s_ : std::optional<double>(waiting_.back().time_s));
  waiting_.push_back(std::move(scan));
}

double LiveLocator::odometry_begin_s() const {
  return recent_.wheels.empty() ? recent_.odometry.front().time_s : recent_.wheels.front().time_s;
}

double LiveLocator::odometry_end_s() const {
  return recent_.wheels.empty() ? recent_.odometry.back().time_s : recent_.wheels.back().time_s;
}

std::vector<LocatedScan> LiveLocator::take() { return answers(kHalfOfSpeedS + std::max(0.0, locator_.delay_s())); }

std::vector<LocatedScan> LiveLocator::finish() { return answers(0.0); }

std::vector<LocatedScan> LiveLocator::answers(double beyond_s) {
  std::vector<LocatedScan> result;
  if (std::max(recent_.wheels.size(), recent_.odometry.size()) < 2) return result;
  while (!waiting_.empty()) {
    const Scan& scan = waiting_.front();
    const double length_s = scan.returns.empty() ? 0.0 : static_cast<double>(scan.returns.back().time_offset_s);
    if (scan.time_s + length_s + beyond_s > odometry_end_s()) break;
    const std::size_t number = answered_++;
    if (std::optional<LocatedScan> here = answer(number, std::move(waiting_.front())))
      result.push_back(*std::move(here));
    waiting_.pop_front();
  }
  return result;
}

std::optional<LocatedScan> LiveLocator::answer(std::size_t number, Scan scan) {
  if (scan.returns.size() < kFewestUsableReturns || scan.time_s < odometry_begin_s()) return std::nullopt;
  const double time_s = scan.time_s;
  recent_.scans.clear();
  recent_.scans.push_back(std::move(scan));
  LocatedScan here = locate_scan(locator_, DriveSteps(recent_, lidar_), 0, before_s_.value_or(time_s));
  here.scan = number;
  if (before_s_) here.time_s = std::max(here.time_s, told_s_);
  before_s_ = time_s;
  told_s_ = here.time_s;
  forget_before(time_s - kRememberedS);
  return here;
}

void LiveLocator::forget_before(double time_s) {
  const std::size_t samples = forget(time_s, recent_.wheels) + forget(time_s, recent_.odometry);
  forget(time_s, recent_.gyro);
  if (samples == 0) return;
  std::vector<std::size_t> breaks;
  for (const std::size_t at : recent_.breaks) {
    if (at > samples) breaks.push_back(at - samples);
  }
  recent_.breaks = std::move(breaks);
}

}  // namespace wainscot
