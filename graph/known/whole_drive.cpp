#include "graph/known/whole_drive.hpp"

#include <algorithm>
#include <cstddef>
#include <utility>

#include <Eigen/Dense>

#include "core/chi_squared.hpp"
#include "graph/known/place_choice.hpp"
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

/// That the robot is lost shows only some scans after it was lifted: those are not sure. `step`: 1 or -1, the way in
/// which the rows were answered.
void doubt_before_losses(std::vector<LocatedScan>& rows, std::ptrdiff_t step) {
  constexpr std::ptrdiff_t kNoticedAfter = 9;  // four bad scans, and five until a robot counts as standing
  const auto count = static_cast<std::ptrdiff_t>(rows.size());
  const auto at = [&](std::ptrdiff_t i) -> Location& { return rows[static_cast<std::size_t>(i)].location; };
  for (std::ptrdiff_t i = 0; i < count; ++i) {
    const std::ptrdiff_t next = i + step;
    if (next < 0 || next >= count || at(i).answer == Answer::lost || at(next).answer != Answer::lost) continue;
    for (std::ptrdiff_t k = 0; k < kNoticedAfter; ++k) {
      const std::ptrdiff_t earlier = i - k * step;
      if (earlier < 0 || earlier >= count || at(earlier).answer == Answer::lost) break;
      at(earlier).answer = Answer::ambiguous;
    }
  }
}

double variance_m2(const Location& here) { return here.places.front().covariance.topLeftCorner<2, 2>().trace(); }

/// From one place to the other, in the tangent space of the first.
Tangent2 apart(const PlaceInMap& one, const PlaceInMap& other) {
  Pose2 between_them = between(one.pose, other.pose);
  between_them.heading_rad = wrap_angle(between_them.heading_rad);
  return log(between_them);
}

/// Whether two places differ by no more than both are uncertain.
bool agree(const PlaceInMap& one, const PlaceInMap& other) {
  const Tangent2 difference = apart(one, other);
  return difference.dot((one.covariance + other.covariance).ldlt().solve(difference)) < kPoseGate;
}

bool is_heading_told(const PlaceInMap& place, const LocatorOptions& options) {
  return is_heading_told(place.covariance(2, 2) - options.common_sd[2] * options.common_sd[2], options);
}

/// Whether both ways follow the robot to one place, well known though each doubts it for what it has gone through.
bool meet(const Location& a, const Location& b, const LocatorOptions& options) {
  if (a.places.size() != 1 || b.places.size() != 1) return false;
  const PlaceInMap& one = a.places.front();
  const PlaceInMap& other = b.places.front();
  return is_within(one.covariance, 1.0, options) && is_within(other.covariance, 1.0, options) && agree(one, other);
}

/// The better known of two answers to one scan. Where they lie further apart than both state, one errs by that (a robot
/// that is being lifted, for some scans), and nothing says which: the answer is as uncertain as they are apart.
LocatedScan surer(const LocatedScan& one, const LocatedScan& other) {
  const bool first = variance_m2(one.location) <= variance_m2(other.location);
  LocatedScan result = first ? one : other;
  PlaceInMap& place = result.location.places.front();
  const PlaceInMap& second = (first ? other : one).location.places.front();
  if (!agree(place, second)) {
    const Tangent2 difference = apart(place, second);
    place.covariance += difference * difference.transpose();
  }
  return result;
}

/// Of the answers of both ways at one scan the better one.
LocatedScan better(const LocatedScan& onwards, const LocatedScan& back, const LocatorOptions& options) {
  const Location& a = onwards.location;
  const Location& b = back.location;
  if (a.answer == Answer::found && b.answer == Answer::found) {
    if (same_place(a.places.front().pose, b.places.front().pose)) return surer(onwards, back);
    LocatedScan either = onwards;
    either.location.answer = Answer::ambiguous;
    either.location.places.push_back(b.places.front());
    return either;
  }
  if (a.answer == Answer::found || b.answer == Answer::lost) return onwards;
  if (a.answer == Answer::ambiguous && b.answer == Answer::ambiguous && meet(a, b, options)) {
    LocatedScan met = surer(onwards, back);
    if (is_heading_told(met.location.places.front(), options)) met.location.answer = Answer::found;
    return met;
  }
  return b.answer == Answer::found || a.answer == Answer::lost ? back : onwards;
}

}  // namespace

std::vector<LocatedScan> locate_whole_drive(const KnownMap& map, const Drive& drive, const LidarModel& lidar,
                                            const LocatorOptions& options,
                                            const std::function<void(double)>& progress) {
  const DriveSteps steps(drive, lidar);
  Locator locator(map, steps.noise(), options);
  std::vector<LocatedScan> result = locate_steps(locator, steps, progress);
  std::vector<LocatedScan> back = locate_backwards(locator, steps, result);
  doubt_before_losses(result, 1);
  doubt_before_losses(back, -1);
  for (std::size_t i = 0; i < result.size(); ++i) {
    result[i] = better(result[i], back[i], options);
    if (i > 0) result[i].time_s = std::max(result[i].time_s, result[i - 1].time_s);
  }
  return result;
}

}  // namespace wainscot
