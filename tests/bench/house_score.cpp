#include "tests/bench/house_score.hpp"

#include <stdlib.h>  // mkdtemp
#include <ctime>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <stdexcept>

#include "apps/simulator/ray_caster.hpp"
#include "apps/simulator/surfaces.hpp"
#include "apps/simulator/write_drive.hpp"
#include "core/chi_squared.hpp"
#include "core/errors.hpp"
#include "graph/mapper.hpp"
#include "io/drive_reader.hpp"

namespace wainscot::bench {
namespace {

/// The true pose at a time, between the rows of the truth; the nearest row's outside.
Pose2 true_pose(const std::vector<TimedPose>& truth, double time_s) {
  const auto after = std::lower_bound(truth.begin(), truth.end(), time_s,
                                      [](const TimedPose& row, double time) { return row.time_s < time; });
  if (after == truth.begin()) {
    return truth.front().pose;
  }
  if (after == truth.end()) {
    return truth.back().pose;
  }
  const TimedPose& before = *(after - 1);
  Pose2 to = after->pose;
  to.heading_rad = before.pose.heading_rad + wrap_angle(to.heading_rad - before.pose.heading_rad);
  return interpolate(before.pose, to, (time_s - before.time_s) / (after->time_s - before.time_s));
}

std::vector<TimedPose> path_of(const Map& map, Pose2 TrajectoryRow::*pose) {
  std::vector<TimedPose> result;
  for (const TrajectoryRow& row : map.trajectory) {
    result.push_back({row.time_s, row.*pose});
  }
  return result;
}

simulator::Point point_of(const Eigen::Vector2d& p) { return {p.x(), p.y()}; }

/// A folder that is gone when this goes.
class TemporaryFolder {
 public:
  TemporaryFolder() {
    std::string name = (std::filesystem::temp_directory_path() / "wainscot-bench-XXXXXX").string();
    if (mkdtemp(name.data()) == nullptr) {
      throw std::runtime_error("no temporary folder can be made");
    }
    path_ = name;
  }
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;
  ~TemporaryFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

double thread_cpu_s() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

Drive written_and_read(const simulator::SimulatedDrive& simulated, const simulator::RobotSpec& robot) {
  const TemporaryFolder folder;
  simulator::write_drive(simulated, robot, folder.path() / "drive", false);
  return read_drive(folder.path() / "drive");
}

/// Nodes as the closure's score sees them.
struct Visit {
  Pose2 truth;
  double way_m = 0.0;
};

/// The earliest node's index that node `later` sees from nearby, though it has driven on for long since; -1: none.
int earlier_at_this_place(const std::vector<Visit>& visits, std::size_t later, const simulator::RayCaster& walls) {
  constexpr double near_m = 1.0;
  constexpr double long_since_m = 10.0;
  for (std::size_t i = 0; i < later && visits[i].way_m < visits[later].way_m - long_since_m; ++i) {
    const Eigen::Vector2d way = visits[i].truth.translation() - visits[later].truth.translation();
    const double distance = way.norm();
    if (distance > near_m) {
      continue;
    }
    const simulator::Point from = point_of(visits[later].truth.translation());
    if (distance < 0.01 || walls.cast(from, point_of(way / distance), distance, true).face < 0) {
      return static_cast<int>(i);
    }
  }
  return -1;
}

/// Nodes of one stretch of the drive that comes back somewhere.
struct Revisit {
  std::size_t first = 0;
  std::size_t last = 0;
};

std::vector<Revisit> revisits_of(const std::vector<Visit>& visits, const simulator::RayCaster& walls) {
  constexpr double one_stretch_m = 3.0;  // a stretch ends where nothing earlier is near for this way
  std::vector<Revisit> result;
  for (std::size_t i = 0; i < visits.size(); ++i) {
    if (earlier_at_this_place(visits, i, walls) < 0) {
      continue;
    }
    if (!result.empty() && visits[i].way_m - visits[result.back().last].way_m < one_stretch_m) {
      result.back().last = i;
    } else {
      result.push_back({i, i});
    }
  }
  return result;
}

}  // namespace

ClosureScore score_closures(const Map& map, const simulator::Truth& truth) {
  ClosureScore score;
  std::vector<Visit> visits;
  for (const Node& node : map.graph.nodes) {
    Visit visit{true_pose(truth.trajectory, node.time_s), 0.0};
    if (!visits.empty()) {
      visit.way_m = visits.back().way_m + (visit.truth.translation() - visits.back().truth.translation()).norm();
    }
    visits.push_back(visit);
  }
  const simulator::RayCaster walls(truth.surfaces);
  const std::vector<Revisit> revisits = revisits_of(visits, walls);
  std::vector<bool> closed(revisits.size(), false);
  for (const LoopCandidate& candidate : map.candidates) {
    if (candidate.verdict != Verdict::accepted) {
      continue;
    }
    const Pose2 error = between(between(visits[candidate.from].truth, visits[candidate.to].truth), candidate.found);
    const bool right =
        error.translation().norm() <= kWrongClosure_m && std::abs(wrap_angle(error.heading_rad)) <= kWrongClosure_rad;
    ++(right ? score.right : score.wrong);
    for (std::size_t i = 0; i < revisits.size(); ++i) {
      // A closure a few nodes beside the stretch joins it as well.
      const bool here = candidate.to + 5 >= revisits[i].first && candidate.to <= revisits[i].last + 5;
      closed[i] = closed[i] || (right && here);
    }
  }
  score.revisits = static_cast<int>(revisits.size());
  score.revisits_closed = static_cast<int>(std::count(closed.begin(), closed.end(), true));
  return score;
}

HouseScore score_house(const simulator::Plan& plan, std::uint64_t house) {
  HouseScore score;
  score.house = house;
  try {
    const simulator::SimulatedDrive simulated = simulator::simulate(plan, house);
    const Drive drive = written_and_read(simulated, plan.robot);
    MapperOptions options;
    options.threads = 1;
    const double begin_s = thread_cpu_s();
    const Map map = build_map(drive, options);
    score.build_cpu_s = thread_cpu_s() - begin_s;
    score.drive_s = map.quality.duration_s;
    score.path_m = map.quality.path_length_m;
    score.nodes = static_cast<int>(map.graph.nodes.size());
    const std::vector<TimedPose>& truth = simulated.truth.trajectory;
    score.path = absolute_trajectory_error(path_of(map, &TrajectoryRow::pose), truth);
    score.shape = absolute_trajectory_error(path_of(map, &TrajectoryRow::pose), truth, Alignment::with_scale);
    score.odometry = absolute_trajectory_error(path_of(map, &TrajectoryRow::odometry), truth);
    score.closures = score_closures(map, simulated.truth);
  } catch (const PoorData& poor) {
    score.failure = poor.what();
  } catch (const InputError& wrong) {
    score.failure = wrong.what();
  }
  return score;
}

}  // namespace wainscot::bench
