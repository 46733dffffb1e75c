#include "graph/live/live_locator.hpp"

#include <algorithm>

namespace wainscot {

LiveLocator::LiveLocator(const KnownMap& map, const Robot& robot, const LidarModel& lidar,
                         const LocatorOptions& options)
    : recent_(robot), lidar_(lidar), locator_(map, range_noise(robot.lidar), options) {}

std::vector<LocatedScan> LiveLocator::take(double past_last_s) {
  const double delay_s = std::max(0.0, locator_.delay_s());
  return answers(kHalfOfSpeedS + delay_s, past_last_s + delay_s);
}

std::vector<LocatedScan> LiveLocator::finish() { return answers(0.0, 0.0); }

std::vector<LocatedScan> LiveLocator::answers(double past_first_s, double past_last_s) {
  std::vector<LocatedScan> result;
  while (const std::optional<std::size_t> number = recent_.next_scan(past_first_s, past_last_s)) {
    result.push_back(answer(*number));
  }
  return result;
}

LocatedScan LiveLocator::answer(std::size_t number) {
  const double time_s = recent_.scan().time_s;
  LocatedScan here = locate_scan(locator_, DriveSteps(recent_.drive(), lidar_), 0, before_s_.value_or(time_s));
  here.scan = number;
  if (before_s_) here.time_s = std::max(here.time_s, told_s_);
  before_s_ = time_s;
  told_s_ = here.time_s;
  return here;
}

}  // namespace wainscot
