#include "graph/known/whole_drive.hpp"

#include <algorithm>
#include <cstddef>
#include <utility>

#include "graph/known/place_search.hpp"

namespace wainscot {
namespace {

/// The drive against the time. Nothing is searched for: without a place to follow there is none until `onwards`, the
/// answers of the way on, has one that is sure.
std::vector<LocatedScan> locate_backwards(Locator locator, const DriveSteps& steps,
                                          const std::vector<LocatedScan>& onwards) {
  locator.restart();
  std::vector<LocatedScan> result = onwards;
  double after_s = steps.time_s(onwards.back().scan);
  for (std::size_t i = onwards.size(); i-- > 0;) {
    const LocatedScan& row = onwards[i];
    const double scan_s = steps.time_s(row.scan);
    const double from_s = after_s + locator.delay_s();
    const double to_s = std::min(from_s, scan_s + locator.delay_s());
    if (locator.location().answer != Answer::lost) {
      const DriveStep step = steps.at(row.scan, from_s, to_s);
      locator.add(step.points, step.moved, step.covariance, step.speed);
    }
    if (locator.location().answer == Answer::lost && row.location.answer == Answer::found) {
      locator.begin_at(row.location.places.front(), steps.at(row.scan, to_s, to_s).speed);
    }
    result[i].location = locator.location();
    result[i].time_s = scan_s + locator.delay_s();
    after_s = scan_s;
  }
  return result;
}

double variance_m2(const Location& here) { return here.places.front().covariance.topLeftCorner<2, 2>().trace(); }

/// Of the answers of both ways at one scan the better one.
LocatedScan better(const LocatedScan& onwards, const LocatedScan& back) {
  const Location& a = onwards.location;
  const Location& b = back.location;
  if (a.answer == Answer::found && b.answer == Answer::found) {
    if (same_place(a.places.front().pose, b.places.front().pose)) {
      return variance_m2(a) <= variance_m2(b) ? onwards : back;
    }
    LocatedScan either = onwards;
    either.location.answer = Answer::ambiguous;
    either.location.places.push_back(b.places.front());
    return either;
  }
  if (a.answer == Answer::found || b.answer == Answer::lost) return onwards;
  return b.answer == Answer::found || a.answer == Answer::lost ? back : onwards;
}

}  // namespace

std::vector<LocatedScan> locate_whole_drive(const KnownMap& map, const Drive& drive, const LidarModel& lidar,
                                            const LocatorOptions& options,
                                            const std::function<void(double)>& progress) {
  const DriveSteps steps(drive, lidar);
  Locator locator(map, steps.noise(), options);
  std::vector<LocatedScan> result = locate_steps(locator, steps, progress);
  const std::vector<LocatedScan> back = locate_backwards(locator, steps, result);
  for (std::size_t i = 0; i < result.size(); ++i) {
    result[i] = better(result[i], back[i]);
    if (i > 0) result[i].time_s = std::max(result[i].time_s, result[i - 1].time_s);
  }
  return result;
}

}  // namespace wainscot
