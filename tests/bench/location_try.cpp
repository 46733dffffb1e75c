#include "tests/bench/location_try.hpp"

#include <ctime>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <Eigen/Dense>

#include "core/angles.hpp"
#include "graph/known/whole_drive.hpp"
#include "graph/track/keyframes.hpp"
#include "tests/bench/true_pose.hpp"

namespace wainscot::bench {
namespace {

constexpr double kWrong_m = 0.20;
constexpr double kWrong_rad = 10.0 / kDegreesPerRadian;

double thread_cpu_s() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

double first_fix_s(const KnownMap& map, const Drive& drive, const LidarModel& lidar, std::size_t scan) {
  const std::vector<OdometryStep> steps = odometry_steps(drive);
  const OdometryPath path(steps, {});
  const double begin_s = thread_cpu_s();
  const std::vector<ScanPoint> points =
      prepare_scan(drive.scans[scan], drive.scans[scan].time_s, lidar, drive.robot.lidar, path, Tangent2::Zero());
  Locator locator(map, {drive.robot.lidar.noise_m, drive.robot.lidar.noise_per_m});
  locator.add(points, {}, Eigen::Matrix3d::Identity());
  return thread_cpu_s() - begin_s;
}

/// Whether the robot is within a metre of where the map's robot drove.
bool is_mapped(const Map& map, const Pose2& here) {
  constexpr double kNearM = 1.0;
  return std::any_of(map.trajectory.begin(), map.trajectory.end(), [&here](const TrajectoryRow& row) {
    return (row.pose.translation() - here.translation()).norm() < kNearM;
  });
}

std::string told(const Location& here) {
  std::string text = answer_text(here.answer);
  for (std::size_t i = 0; i < std::min<std::size_t>(3, here.places.size()); ++i) {
    const PlaceInMap& p = here.places[i];
    text += fmt::format("  ({:.2f} {:.2f} {:.2f} +- {:.3f}: {:.2f}/{:.2f} {:.3f})", p.pose.x_m, p.pose.y_m,
                        p.pose.heading_rad, std::sqrt(p.covariance.topLeftCorner<2, 2>().trace()), p.fit.explained(),
                        p.fit.contradicted(), p.fit.misfit());
  }
  return text + fmt::format("  of {}", here.places.size());
}

void judge(const LocatedScan& row, const Pose2& truth, double way_m, bool elsewhere, LocationTry& one) {
  one.right_at_end = false;
  if (row.location.answer == Answer::lost) ++one.lost_rows;
  if (row.location.answer == Answer::ambiguous) ++one.ambiguous_rows;
  if (row.location.answer != Answer::found) return;
  ++one.found_rows;
  const PlaceInMap& place = row.location.places.front();
  Pose2 error = between(truth, place.pose);
  error.heading_rad = wrap_angle(error.heading_rad);
  if (elsewhere || error.translation().norm() > kWrong_m || std::abs(error.heading_rad) > kWrong_rad) {
    ++one.wrong_rows;
    return;
  }
  one.right_at_end = true;
  if (one.errors_m.empty()) {
    one.found_after_m = way_m;
    one.found = way_m <= 3.0;
  }
  one.errors_m.push_back(error.translation().norm());
  one.errors_rad.push_back(std::abs(error.heading_rad));
  const Tangent2 tangent = log(error);
  one.normalised.push_back({tangent[0] / std::sqrt(place.covariance(0, 0)),
                            tangent[1] / std::sqrt(place.covariance(1, 1)),
                            tangent[2] / std::sqrt(place.covariance(2, 2))});
}

/// A row of --rows: how far the answer is from the truth, in the robot's frame.
std::string row_text(const LocatedScan& row, const Drive& part, const Pose2& truth, double way_m) {
  const PlaceInMap& place = row.location.places.front();
  Pose2 error = between(truth, place.pose);
  error.heading_rad = wrap_angle(error.heading_rad);
  Pose2 motion = between(true_pose(part.truth, row.time_s - 0.05), true_pose(part.truth, row.time_s + 0.05));
  motion.heading_rad = wrap_angle(motion.heading_rad);
  const auto sd = [&place](int i) { return std::sqrt(place.covariance(i, i)); };
  return fmt::format("{},{:.2f},{:.2f},{},{:.3f},{:.1f},{:.1f},{:.1f},{:.3f},{:.1f},{:.1f},{:.3f},{:.3f},{:.3f}\n",
                     row.scan, row.time_s, way_m, part.scans[row.scan].returns.size(),
                     motion.translation().norm() / 0.1, kDegreesPerRadian * motion.heading_rad / 0.1, 1e3 * error.x_m,
                     1e3 * error.y_m, kDegreesPerRadian * error.heading_rad, 1e3 * sd(0), 1e3 * sd(1),
                     kDegreesPerRadian * sd(2), place.fit.explained(), place.fit.contradicted());
}

}  // namespace

LocationTry tried_location(const KnownMap& map, const LocatedHome& home, const KnownRobot& robot, std::size_t first,
                           double most_way_m, bool elsewhere, bool whole, bool talk, const std::string& name) {
  LocationTry one;
  Drive part = robot.drive;
  const std::vector<TimedPose>& truth = part.truth;
  std::vector<double> ways_m = {0.0};
  std::size_t last = first + 1;
  for (; last < part.scans.size() && ways_m.back() < most_way_m; ++last) {
    ways_m.push_back(ways_m.back() + (true_pose(truth, part.scans[last].time_s).translation() -
                                      true_pose(truth, part.scans[last - 1].time_s).translation())
                                         .norm());
  }
  part.scans.assign(robot.drive.scans.begin() + static_cast<std::ptrdiff_t>(first),
                    robot.drive.scans.begin() + static_cast<std::ptrdiff_t>(last));
  one.first_fix_s = first_fix_s(map, part, robot.lidar, 0);
  const double begin_s = thread_cpu_s();
  const std::vector<LocatedScan> rows = whole ? locate_whole_drive(map, part, robot.lidar, robot.options)
                                              : locate_drive(map, part, robot.lidar, robot.options);
  one.cpu_s = thread_cpu_s() - begin_s;
  one.recorded_s = part.scans.back().time_s - part.scans.front().time_s;
  const Pose2 map_from_truth = inverse(home.truth_from_map);
  std::string said;
  for (const LocatedScan& row : rows) {
    const Pose2 there = map_from_truth * true_pose(truth, row.time_s);
    if (one.known_after_m < 0.0 && is_mapped(home.saved.map, there)) one.known_after_m = ways_m[row.scan];
    judge(row, there, ways_m[row.scan], elsewhere, one);
    if (row.location.answer == Answer::found) one.rows += name + row_text(row, part, there, ways_m[row.scan]);
    const std::string text = told(row.location);
    if (talk && (row.location.answer == Answer::lost ? said != "lost"
                                                     : text.substr(0, 9) != said.substr(0, 9) || row.scan % 10 == 0)) {
      fmt::print(stderr, "  {:6.2f} s {:5.2f} m, true {:.2f} {:.2f} {:.2f}: {}\n", row.time_s, ways_m[row.scan],
                 there.x_m, there.y_m, wrap_angle(there.heading_rad), text);
    }
    said = row.location.answer == Answer::lost ? "lost" : text;
  }
  return one;
}

}  // namespace wainscot::bench
