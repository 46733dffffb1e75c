#include "tests/bench/house_score.hpp"

#include <malloc.h>  // malloc_trim
#include <ctime>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <limits>
#include <map>
#include <optional>
#include <stdexcept>
#include <string>
#include <utility>

#include <Eigen/Dense>
#include "apps/simulator/ray_caster.hpp"
#include "apps/simulator/surfaces.hpp"
#include "apps/simulator/write_drive.hpp"

#include "core/chi_squared.hpp"
#include "core/errors.hpp"
#include "graph/compare/face_height.hpp"
#include "graph/drift.hpp"
#include "graph/mapping/mapper.hpp"
#include "io/log/drive_reader.hpp"
#include "tests/bench/temporary_folder.hpp"

namespace wainscot::bench {

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

Drive written_and_read(const simulator::SimulatedDrive& simulated, const simulator::RobotSpec& robot) {
  const TemporaryFolder folder;
  simulator::write_drive(simulated, robot, folder.path() / "drive", false);
  return read_drive(folder.path() / "drive");
}

namespace {

std::vector<TimedPose> path_of(const Map& map, Pose2 TrajectoryRow::*pose) {
  std::vector<TimedPose> result;
  for (const TrajectoryRow& row : map.trajectory) {
    result.push_back({row.time_s, row.*pose});
  }
  return result;
}

simulator::Point point_of(const Eigen::Vector2d& p) { return {p.x(), p.y()}; }

double thread_cpu_s() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

/// A line of /proc/self/status, MB; 0 where there is none.
double status_mb(const std::string& name) {
  std::ifstream status("/proc/self/status");
  std::string word;
  double kilobytes = 0.0;
  while (status >> word) {
    if (word == name + ":" && status >> kilobytes) {
      return kilobytes / 1024.0;
    }
  }
  return 0.0;
}

/// How far the process's memory grows beyond what it holds now.
class MemoryGrowth {
 public:
  MemoryGrowth() {
    malloc_trim(0);
    std::ofstream("/proc/self/clear_refs") << "5";  // the high water mark begins anew (Linux, proc(5))
    before_mb_ = status_mb("VmRSS");
  }
  double peak_mb() const { return std::max(0.0, status_mb("VmHWM") - before_mb_); }

 private:
  double before_mb_ = 0.0;
};

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

/// Points of true wall faces, and in how many scans a return came from each.
class SeenWall {
 public:
  explicit SeenWall(const simulator::Surfaces& surfaces) {
    constexpr double step_m = 0.025;
    for (const simulator::Surface& wall : surfaces.flat) {
      if (wall.kind != simulator::SurfaceKind::wall) {
        continue;
      }
      const simulator::Point along = simulator::unit(wall.to - wall.from);
      const simulator::Point normal = simulator::left_of(along);
      for (double at = 0.5 * step_m; at < simulator::norm(wall.to - wall.from); at += step_m) {
        const simulator::Point point = wall.from + at * along;
        points_.push_back({{point.x_m, point.y_m}, {normal.x_m, normal.y_m}, 0, -1});
        buckets_[bucket(points_.back().place)].push_back(points_.size() - 1);
      }
    }
  }

  /// A return of scan number `scan` from `hit`; `beam` is the beam's direction.
  void add(const Eigen::Vector2d& hit, const Eigen::Vector2d& beam, int scan) {
    Point* nearest = nullptr;
    double nearest_m = 0.1;
    const auto [column, row] = bucket(hit);
    for (int c = column - 1; c <= column + 1; ++c) {
      for (int r = row - 1; r <= row + 1; ++r) {
        const auto found = buckets_.find({c, r});
        if (found == buckets_.end()) {
          continue;
        }
        for (const std::size_t i : found->second) {
          const double distance = (points_[i].place - hit).norm();
          if (distance < nearest_m && beam.dot(points_[i].normal) < 0.0) {
            nearest_m = distance;
            nearest = &points_[i];
          }
        }
      }
    }
    if (nearest != nullptr && nearest->last_scan != scan) {
      nearest->last_scan = scan;
      ++nearest->scans;
    }
  }

  std::vector<Eigen::Vector2d> seen_at_least(int scans) const {
    std::vector<Eigen::Vector2d> result;
    for (const Point& point : points_) {
      if (point.scans >= scans) {
        result.push_back(point.place);
      }
    }
    return result;
  }

 private:
  struct Point {
    Eigen::Vector2d place;
    Eigen::Vector2d normal;
    int scans;
    int last_scan;
  };
  static std::pair<int, int> bucket(const Eigen::Vector2d& p) {
    return {static_cast<int>(std::floor(p.x() / 0.1)), static_cast<int>(std::floor(p.y() / 0.1))};
  }
  std::vector<Point> points_;
  std::map<std::pair<int, int>, std::vector<std::size_t>> buckets_;
};

/// Where the walls were really hit: true poses, the true lidar, the ranges as measured.
std::vector<Eigen::Vector2d> walls_seen_three_times(const Drive& drive, const simulator::Truth& truth) {
  SeenWall wall(truth.surfaces);
  const simulator::TrueLidar& lidar = truth.lidar;
  const Pose2 mounting{lidar.x_m, lidar.y_m, lidar.heading_rad};
  for (std::size_t scan = 0; scan < drive.scans.size(); ++scan) {
    for (const Return& beam : drive.scans[scan].returns) {
      if (beam.range_m >= static_cast<float>(drive.robot.lidar.max_range_m)) {
        continue;
      }
      const double stamp_s = drive.scans[scan].time_s + static_cast<double>(beam.time_offset_s);
      const double time_s = (stamp_s - lidar.stamp_delay_s) / (1.0 + lidar.clock_drift_rel);
      const Pose2 at = true_pose(truth.trajectory, time_s) * mounting;
      const double angle = at.heading_rad + static_cast<double>(beam.angle_rad);
      const Eigen::Vector2d direction(std::cos(angle), std::sin(angle));
      const double range = static_cast<double>(beam.range_m) / lidar.range_scale;
      wall.add(at.translation() + range * direction, direction, static_cast<int>(scan));
    }
  }
  return wall.seen_at_least(3);
}

double distance_to_faces(const std::vector<simulator::Surface>& faces, const Eigen::Vector2d& point) {
  double least = std::numeric_limits<double>::infinity();
  for (const simulator::Surface& face : faces) {
    least = std::min(least, simulator::distance_m(point_of(point), face.from, face.to));
  }
  return least;
}

bool occupied_near(const OccupancyGrid& grid, const Eigen::Vector2d& point) {
  const Eigen::Vector2d cells = (point - grid.frame.lower_left_corner_m()) / grid.frame.cell_size_m;
  const auto column = static_cast<std::int32_t>(std::floor(cells.x()));
  const auto row = static_cast<std::int32_t>(std::floor(cells.y()));
  for (std::int32_t r = std::max(row - 1, 0); r <= std::min(row + 1, grid.frame.rows - 1); ++r) {
    for (std::int32_t c = std::max(column - 1, 0); c <= std::min(column + 1, grid.frame.columns - 1); ++c) {
      if (grid.probability[static_cast<std::size_t>(r) * static_cast<std::size_t>(grid.frame.columns) +
                           static_cast<std::size_t>(c)] > 0.5F) {
        return true;
      }
    }
  }
  return false;
}

/// Whether what an edge measured lies within its stated 95 % region.
bool edge_holds(const Edge& edge, const Map& map, const simulator::Truth& truth) {
  const auto there = [&](std::size_t node) { return true_pose(truth.trajectory, map.graph.nodes[node].time_s); };
  Pose2 error = between(between(there(edge.from), there(edge.to)), edge.relative);
  error.heading_rad = wrap_angle(error.heading_rad);
  const Tangent2 tangent = log(error);
  return tangent.dot(edge_covariance(edge).ldlt().solve(tangent)) <= chi_squared_quantile(0.95, 3);
}

void cover_edges(const Map& map, const simulator::Truth& truth, std::vector<Coverage>& result) {
  for (const auto& [kind, name] : {std::pair(EdgeKind::match, "match"), {EdgeKind::closure, "closure"}}) {
    std::vector<const Edge*> edges;
    for (const Edge& edge : map.graph.edges) {
      if (edge.kind == kind) {
        edges.push_back(&edge);
      }
    }
    if (!edges.empty()) {
      result.push_back({name, edge_holds(*edges[edges.size() / 2], map, truth)});
    }
  }
}

}  // namespace

std::vector<FacingWalls> facing_walls(const simulator::Surfaces& surfaces) {
  constexpr double step_m = 0.5;
  constexpr double least_m = 0.5;
  constexpr double most_m = 15.0;
  constexpr double parallel_rad = 0.005;
  const simulator::RayCaster caster(surfaces);
  std::vector<FacingWalls> result;
  for (const simulator::Surface& wall : surfaces.flat) {
    const double length = simulator::norm(wall.to - wall.from);
    if (wall.kind != simulator::SurfaceKind::wall) {
      continue;
    }
    const simulator::Point along = simulator::unit(wall.to - wall.from);
    const simulator::Point normal = simulator::left_of(along);
    for (double at = 0.25; at < length - 0.2; at += step_m) {
      const simulator::Point from = wall.from + at * along;
      const simulator::Point start = from + 1e-4 * normal;
      const simulator::Hit hit = caster.cast(start, normal, most_m, false);
      const double distance = hit.range_m + 1e-4;
      // Each pair of faces is met from both sides; one of them is enough.
      if (hit.face > wall.face && hit.kind == simulator::SurfaceKind::wall && hit.incidence_rad < parallel_rad &&
          distance > least_m) {
        const simulator::Point to = from + distance * normal;
        result.push_back({{from.x_m, from.y_m}, {to.x_m, to.y_m}, {normal.x_m, normal.y_m}});
      }
    }
  }
  return result;
}

double WallScore::within_goal() const {
  int within = 0;
  for (std::size_t i = 0; i < errors_m.size(); ++i) {
    within += std::abs(errors_m[i]) <= std::max(0.005, 0.002 * distances_m[i]) ? 1 : 0;
  }
  return errors_m.empty() ? 1.0 : static_cast<double>(within) / static_cast<double>(errors_m.size());
}

double WallScore::median_error_m() const {
  std::vector<double> sizes;
  for (const double error : errors_m) {
    sizes.push_back(std::abs(error));
  }
  std::sort(sizes.begin(), sizes.end());
  return sizes.empty() ? 0.0 : sizes[sizes.size() / 2];
}

WallScore score_walls(const Map& map, const simulator::Truth& truth, const Pose2& truth_from_map) {
  WallScore score;
  const Pose2 map_from_truth = inverse(truth_from_map);
  for (const FacingWalls& walls : facing_walls(truth.surfaces)) {
    const Eigen::Vector2d from = map_from_truth * walls.from;
    const Eigen::Vector2d to = map_from_truth * walls.to;
    const Eigen::Vector2d normal = map_from_truth.rotation() * walls.normal;
    const std::optional<FaceHeight> near = height_of_face(map.wall_pieces, from, normal);
    const std::optional<FaceHeight> far = height_of_face(map.wall_pieces, to, -normal);
    if (!near || !far) {
      ++score.unmeasured;
      continue;
    }
    const double distance = (to - from).norm();
    score.errors_m.push_back(-near->height_m - far->height_m);
    score.distances_m.push_back(distance);
    score.sds_m.push_back(std::hypot(near->sd_m, far->sd_m, map.quality.scale_sd * distance));
  }
  return score;
}

GridScore score_grid(const Map& map, const Drive& drive, const simulator::Truth& truth, const Pose2& truth_from_map) {
  GridScore score;
  const Pose2 map_from_truth = inverse(truth_from_map);
  const std::vector<Eigen::Vector2d> seen = walls_seen_three_times(drive, truth);
  const auto found = std::count_if(seen.begin(), seen.end(), [&](const Eigen::Vector2d& point) {
    return occupied_near(map.grid, map_from_truth * point);
  });
  if (!seen.empty()) {
    score.recall = static_cast<double>(found) / static_cast<double>(seen.size());
  }
  const std::vector<simulator::Surface> faces = simulator::as_segments(truth.surfaces);
  const GridFrame& frame = map.grid.frame;
  int occupied = 0;
  int stray = 0;
  for (std::size_t cell = 0; cell < map.grid.probability.size(); ++cell) {
    if (map.grid.probability[cell] > 0.5F) {
      const auto columns = static_cast<std::size_t>(frame.columns);
      const Eigen::Vector2d middle(static_cast<double>(cell % columns) + 0.5,
                                   static_cast<double>(cell / columns) + 0.5);
      const Eigen::Vector2d place = frame.lower_left_corner_m() + frame.cell_size_m * middle;
      ++occupied;
      stray += distance_to_faces(faces, truth_from_map * place) > 1.5 * frame.cell_size_m ? 1 : 0;
    }
  }
  if (occupied > 0) {
    score.stray = static_cast<double>(stray) / occupied;
  }
  return score;
}

std::vector<Coverage> score_coverage(const Map& map, const simulator::Truth& truth, const WallScore& walls) {
  std::vector<Coverage> result;
  cover_edges(map, truth, result);
  if (!walls.errors_m.empty()) {
    const std::size_t middle = walls.errors_m.size() / 2;
    result.push_back({"wall distance", std::abs(walls.errors_m[middle]) <= 1.96 * walls.sds_m[middle]});
  }
  if (map.graph.nodes.size() >= 2) {
    const Node& first = map.graph.nodes.front();
    const Node& node = map.graph.nodes[map.graph.nodes.size() / 2];
    const Pose2 expected = between(true_pose(truth.trajectory, first.time_s), true_pose(truth.trajectory, node.time_s));
    Pose2 error = between(between(first.pose, node.pose), expected);
    error.heading_rad = wrap_angle(error.heading_rad);
    const Tangent2 tangent = log(error);
    const double gate = std::sqrt(chi_squared_quantile(0.95, 1));
    const char* const names[] = {"pose: along", "pose: across", "pose: heading"};
    for (int i = 0; i < 3; ++i) {
      result.push_back({names[i], std::abs(tangent[i]) <= gate * std::sqrt(node.covariance(i, i))});
    }
    const double squared = tangent.dot(node.covariance.ldlt().solve(tangent));
    result.push_back({"pose: all three", squared <= chi_squared_quantile(0.95, 3)});
  }
  const std::map<std::string, double> true_constants = {
      {"drive.left_m_per_tick", truth.left_m_per_tick},
      {"drive.right_m_per_tick", truth.right_m_per_tick},
      {"drive.track_width_m", truth.track_width_m},
      {"lidar.x_m", truth.lidar.x_m},
      {"lidar.y_m", truth.lidar.y_m},
      {"lidar.heading_deg", truth.lidar.heading_rad / simulator::kDegree_rad},
      // robot.yaml's range_scale multiplies the measured range, the simulator's the true one.
      {"lidar.range_scale", 1.0 / truth.lidar.range_scale},
  };
  for (const RefinedConstant& constant : map.constants) {
    const auto found = true_constants.find(constant.name);
    if (found != true_constants.end()) {
      const double error = std::remainder(constant.found - found->second, constant.unit == "deg" ? 360.0 : 1e9);
      result.push_back({constant.name, std::abs(error) <= 1.96 * constant.found_sd});
    }
  }
  return result;
}

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
    const MemoryGrowth memory;
    const double begin_s = thread_cpu_s();
    const Map map = build_map(drive, options);
    score.build_cpu_s = thread_cpu_s() - begin_s;
    for (const Scan& scan : drive.scans) {
      score.beams += scan.returns.size();
    }
    score.peak_mb = memory.peak_mb() + 1e-6 * static_cast<double>(score.beams * sizeof(Return));
    score.warnings = map.warnings;
    score.drive_s = map.quality.duration_s;
    score.path_m = map.quality.path_length_m;
    score.nodes = static_cast<int>(map.graph.nodes.size());
    const std::vector<TimedPose>& truth = simulated.truth.trajectory;
    score.path = absolute_trajectory_error(path_of(map, &TrajectoryRow::pose), truth);
    score.shape = absolute_trajectory_error(path_of(map, &TrajectoryRow::pose), truth, Alignment::with_scale);
    score.odometry = absolute_trajectory_error(path_of(map, &TrajectoryRow::odometry), truth);
    score.closures = score_closures(map, simulated.truth);
    score.walls = score_walls(map, simulated.truth, score.path.alignment);
    score.grid = score_grid(map, drive, simulated.truth, score.path.alignment);
    score.coverage = score_coverage(map, simulated.truth, score.walls);
  } catch (const PoorData& poor) {
    score.failure = poor.what();
  } catch (const InputError& wrong) {
    score.failure = wrong.what();
  }
  return score;
}

}  // namespace wainscot::bench
