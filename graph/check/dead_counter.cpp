#include "graph/check/dead_counter.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <numbers>
#include <string>

namespace wainscot {
namespace {

using Ticks = std::int64_t WheelCounts::*;

double ticks_in(const std::vector<WheelCounts>& rows, Ticks wheel) {
  double sum = 0.0;
  for (std::size_t i = 1; i < rows.size(); ++i)
    sum += static_cast<double>(std::abs(rows[i].*wheel - rows[i - 1].*wheel));
  return sum;
}

Finding told(const std::string& side, const std::string& what, std::string figure) {
  Finding finding;
  finding.fault = Fault::dead_counter;
  finding.what = "the " + side + " counter " + what;
  finding.figure = std::move(figure);
  finding.confidence = confidence_of(1e9, 1);
  finding.act = sentence("look at the %s encoder's cable and pins, then drive again", side.c_str());
  return finding;
}

/// Rows between which a counter stood while the other one went on.
struct Stand {
  std::size_t begin = 0, end = 0;
  double other_ticks = 0.0;
};

Stand longest_stand(const std::vector<WheelCounts>& rows, Ticks wheel, Ticks other) {
  Stand longest, now;
  for (std::size_t i = 1; i < rows.size(); ++i) {
    if (rows[i].*wheel != rows[i - 1].*wheel) {
      now = {i, i, 0.0};
      continue;
    }
    now.end = i;
    now.other_ticks += static_cast<double>(std::abs(rows[i].*other - rows[i - 1].*other));
    if (now.other_ticks > longest.other_ticks) longest = now;
  }
  return longest;
}

std::optional<Finding> stopped(const Drive& drive, Ticks wheel, Ticks other, double m_per_other_tick,
                               const std::string& side) {
  // Turns about a wheel that stands, chosen by hand: few drive two, a cable that is off makes many.
  constexpr double kTurns = 2.0;
  constexpr double kShare = 0.05;  // of all that the other one counted: a wrong metres a tick makes no fault of a turn
  const std::vector<WheelCounts>& rows = drive.wheels;
  const Stand stand = longest_stand(rows, wheel, other);
  const double rolled_m = stand.other_ticks * std::abs(m_per_other_tick);
  if (rolled_m < kTurns * 2.0 * std::numbers::pi * drive.robot.drive->track_width_m) return std::nullopt;
  if (stand.other_ticks < kShare * ticks_in(rows, other)) return std::nullopt;
  const std::string until = stand.end + 1 == rows.size() ? "on" : sentence("to %.1f s", rows[stand.end].time_s);
  Finding finding = told(side, "stops counting",
                         sentence("not one tick from %.1f s %s, while the other wheel rolled %.1f m",
                                  rows[stand.begin].time_s, until.c_str(), rolled_m));
  finding.time_s = rows[stand.begin].time_s;
  return finding;
}

}  // namespace

std::optional<Finding> dead_counter(const Drive& drive) {
  constexpr double kAlive = 200.0;  // ticks: less than a turn of most wheels says nothing of a drive
  const double left = ticks_in(drive.wheels, &WheelCounts::left_ticks);
  const double right = ticks_in(drive.wheels, &WheelCounts::right_ticks);
  if (std::max(left, right) < kAlive) return std::nullopt;
  if (std::min(left, right) <= 0.001 * std::max(left, right)) {
    return told(left < right ? "left" : "right", "does not count",
                sentence("%.0f ticks left, %.0f right in the whole drive", left, right));
  }
  if (!drive.robot.drive) return std::nullopt;
  const DriveConstants& constants = *drive.robot.drive;
  auto found = stopped(drive, &WheelCounts::left_ticks, &WheelCounts::right_ticks, constants.right_m_per_tick, "left");
  if (found) return found;
  return stopped(drive, &WheelCounts::right_ticks, &WheelCounts::left_ticks, constants.left_m_per_tick, "right");
}

}  // namespace wainscot
