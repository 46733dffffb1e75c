#include "graph/live/recent_drive.hpp"

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
// Where odometry does not come at all: an hour of a lidar that turns five times a second, 90 MB of 360 returns each.
constexpr std::size_t kMostWaiting = 20'000;

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

void RecentDrive::note_break(std::size_t sample) {
  if (broken_ && sample > 0) recent_.breaks.push_back(sample);
  broken_ = false;
}

void RecentDrive::add_counts(const WheelCounts& counts) {
  if (!recent_.odometry.empty()) throw InputError("wheels: poses were given before; give one or the other");
  require_time("wheels", counts.time_s, last_time_s(recent_.wheels));
  note_break(recent_.wheels.size());
  recent_.wheels.push_back(counts);
}

void RecentDrive::add_pose(const TimedPose& pose) {
  if (!recent_.wheels.empty()) throw InputError("odometry: counts of wheels were given before; give one or the other");
  require_time("odometry", pose.time_s, last_time_s(recent_.odometry));
  note_break(recent_.odometry.size());
  recent_.odometry.push_back(pose);
}

void RecentDrive::add_yaw_rate(const YawRate& rate) {
  require_time("gyro", rate.time_s, last_time_s(recent_.gyro));
  recent_.gyro.push_back(rate);
}

void RecentDrive::add_scan(Scan scan) {
  require_time("scan", scan.time_s, waiting_.empty() ? before_s_ : std::optional<double>(waiting_.back().time_s));
  waiting_.push_back(std::move(scan));
  if (waiting_.size() <= kMostWaiting) return;
  waiting_.pop_front();
  ++given_;
}

double RecentDrive::odometry_begin_s() const {
  return recent_.wheels.empty() ? recent_.odometry.front().time_s : recent_.wheels.front().time_s;
}

double RecentDrive::odometry_end_s() const {
  return recent_.wheels.empty() ? recent_.odometry.back().time_s : recent_.wheels.back().time_s;
}

std::optional<std::size_t> RecentDrive::next_scan(double past_first_s, double past_last_s) {
  if (std::max(recent_.wheels.size(), recent_.odometry.size()) < 2) return std::nullopt;
  if (before_s_) forget_before(*before_s_ - kRememberedS);
  while (!waiting_.empty()) {
    const Scan& next = waiting_.front();
    const double length_s = next.returns.empty() ? 0.0 : static_cast<double>(next.returns.back().time_offset_s);
    if (next.time_s + std::max(past_first_s, length_s + past_last_s) > odometry_end_s()) return std::nullopt;
    const bool usable = next.returns.size() >= kFewestUsableReturns && next.time_s >= odometry_begin_s();
    if (usable) {
      before_s_ = next.time_s;
      recent_.scans.resize(1);
      recent_.scans.front() = std::move(waiting_.front());
    }
    waiting_.pop_front();
    ++given_;
    if (usable) return given_ - 1;
  }
  return std::nullopt;
}

void RecentDrive::forget_before(double time_s) {
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
