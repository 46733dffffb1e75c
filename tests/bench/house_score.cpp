#include "tests/bench/house_score.hpp"

#include <malloc.h>  // malloc_trim
#include <ctime>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <map>
#include <string>
#include <utility>

#include <Eigen/Dense>

#include "apps/mapping/drive_to_map.hpp"
#include "apps/simulator/write_drive.hpp"
#include "core/angles.hpp"
#include "core/chi_squared.hpp"
#include "core/errors.hpp"
#include "graph/mapping/mapper.hpp"
#include "tests/bench/temporary_folder.hpp"

namespace wainscot::bench {

namespace {

/// Takes the lines of wheels and mounting out of a robot.yaml.
void forget_constants(const std::filesystem::path& robot_yaml) {
  std::ifstream in(robot_yaml);
  std::string kept;
  for (std::string line; std::getline(in, line);) {
    bool constant = false;
    for (const char* key : {"left_m_per_tick", "left_sd_m_per_tick", "right_m_per_tick", "right_sd_m_per_tick",
                            "track_width_m", "track_width_sd_m", "x_m", "y_m", "heading_deg"}) {
      constant = constant || line.starts_with("  " + std::string(key) + ":");
    }
    if (!constant) kept += line + "\n";
  }
  in.close();
  std::ofstream(robot_yaml) << kept;
}

}  // namespace

Drive written_and_read(const simulator::SimulatedDrive& simulated, const simulator::RobotSpec& robot, Stated stated) {
  const TemporaryFolder folder;
  simulator::write_drive(simulated, robot, folder.path() / "drive");
  if (stated == Stated::no_constants) forget_constants(folder.path() / "drive" / "robot.yaml");
  DriveToMapOptions options;
  options.threads = 1;
  return drive_to_map(folder.path() / "drive", options);
}

namespace {

std::vector<TimedPose> path_of(const Map& map, Pose2 TrajectoryRow::*pose) {
  std::vector<TimedPose> result;
  for (const TrajectoryRow& row : map.trajectory) {
    result.push_back({row.time_s, row.*pose});
  }
  return result;
}

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

/// Of one quantity whose standard uncertainty is stated.
Coverage covered(std::string name, double error, double sd) {
  const double half_width = 1.96 * sd;
  return {std::move(name), std::abs(error) <= half_width, error * error / (sd * sd), half_width};
}

/// Of three at once, whose covariance is stated.
Coverage covered(std::string name, const Tangent2& error, const Eigen::Matrix3d& covariance) {
  const double squared = error.dot(covariance.ldlt().solve(error));
  return {std::move(name), squared <= chi_squared_quantile(0.95, 3), squared / 3.0, 0.0};
}

/// What an edge measured.
Coverage covered(std::string name, const Edge& edge, const Map& map, const simulator::Truth& truth) {
  const auto there = [&](std::size_t node) { return true_pose(truth.trajectory, map.graph.nodes[node].time_s); };
  Pose2 error = between(between(there(edge.from), there(edge.to)), edge.relative);
  error.heading_rad = wrap_angle(error.heading_rad);
  const Tangent2 tangent = log(error);
  const double squared = tangent.dot(edge.information * tangent);
  return {std::move(name), squared <= chi_squared_quantile(0.95, 3), squared / 3.0, 0.0};
}

/// Of a node's pose against the first one's, in the node's own tangent space.
Tangent2 pose_error(const Map& map, const Node& node, const simulator::Truth& truth) {
  const Node& first = map.graph.nodes.front();
  const Pose2 expected = between(true_pose(truth.trajectory, first.time_s), true_pose(truth.trajectory, node.time_s));
  Pose2 error = between(between(first.pose, node.pose), expected);
  error.heading_rad = wrap_angle(error.heading_rad);
  return log(error);
}

ClaimScore score_claims(const Map& map, const Drive& drive, const simulator::Truth& truth) {
  ClaimScore score;
  score.verdict = map_verdict(map, drive);
  score.places_told_m = 2.0 * map.quality.place_sd_m;  // as map_verdict() words them
  score.scale_told = 2.0 * map.quality.scale_sd;
  const AlignedPath path = aligned_path(path_of(map, &TrajectoryRow::pose), truth.trajectory, Alignment::with_scale);
  score.scale_off = std::abs(path.scale - 1.0);
  std::vector<double> off;
  for (const PosePair& pair : path.poses) {
    off.push_back((pair.estimate.translation() - pair.truth.translation()).norm());
  }
  std::sort(off.begin(), off.end());
  score.places_m = off[off.size() * 19 / 20];
  std::size_t held = 0;
  const std::size_t others = map.graph.nodes.size() - 1;
  for (std::size_t i = 1; i <= others; ++i) {
    const Node& node = map.graph.nodes[i];
    held += covered("", pose_error(map, node, truth), node.covariance).held ? 1 : 0;
  }
  score.poses_held = others > 0 ? static_cast<double>(held) / static_cast<double>(others) : 1.0;
  return score;
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
      result.push_back(covered(name, *edges[edges.size() / 2], map, truth));
    }
  }
}

}  // namespace

std::vector<Coverage> score_coverage(const Map& map, const simulator::Truth& truth, const WallScore& walls) {
  std::vector<Coverage> result;
  cover_edges(map, truth, result);
  if (!walls.errors_m.empty()) {
    const std::size_t middle = walls.errors_m.size() / 2;
    result.push_back(covered("wall distance, mm", 1e3 * walls.errors_m[middle], 1e3 * walls.sds_m[middle]));
  }
  if (map.graph.nodes.size() >= 2) {
    const Node& node = map.graph.nodes[map.graph.nodes.size() / 2];
    const Tangent2 tangent = pose_error(map, node, truth);
    const std::pair<const char*, double> names[] = {
        {"pose: along, mm", 1e3}, {"pose: across, mm", 1e3}, {"pose: heading, deg", kDegreesPerRadian}};
    for (int i = 0; i < 3; ++i) {
      const auto& [name, unit] = names[i];
      result.push_back(covered(name, unit * tangent[i], unit * std::sqrt(node.covariance(i, i))));
    }
    result.push_back(covered("pose: all three", tangent, node.covariance));
  }
  const std::map<std::string, double> true_constants = {
      {"drive.left_m_per_tick", truth.left_m_per_tick},
      {"drive.right_m_per_tick", truth.right_m_per_tick},
      {"drive.track_width_m", truth.track_width_as_driven_m},
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
      const bool relative = constant.name.ends_with("tick") || constant.name.ends_with("scale");
      const double unit = relative ? 100.0 / std::abs(found->second) : constant.name.ends_with("_m") ? 1e3 : 1.0;
      result.push_back(covered(constant.name + (relative                        ? ", %"
                                                : constant.name.ends_with("_m") ? ", mm"
                                                                                : ""),
                               unit * error, unit * constant.found_sd));
    }
  }
  return result;
}

HouseScore score_house(const simulator::Plan& plan, std::uint64_t house, Stated stated) {
  HouseScore score;
  score.house = house;
  try {
    const simulator::SimulatedDrive simulated = simulator::simulate(plan, house);
    const Drive drive = written_and_read(simulated, plan.robot, stated);
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
    score.closures = score_closures(
        map, simulated.truth,
        Pose2{drive.robot.lidar.x_m, drive.robot.lidar.y_m, simulator::kDegree_rad * drive.robot.lidar.heading_deg});
    score.walls = score_walls(map, simulated.truth, score.path.alignment);
    score.grid = score_grid(map, drive, simulated.truth, score.path.alignment);
    score.claims = score_claims(map, drive, simulated.truth);
    score.coverage = score_coverage(map, simulated.truth, score.walls);
    score.coverage.push_back(covered("scale, %", 100.0 * (score.shape.scale - 1.0), 100.0 * map.quality.scale_sd));
  } catch (const PoorData& poor) {
    score.failure = poor.what();
  } catch (const InputError& wrong) {
    score.failure = wrong.what();
  }
  return score;
}

}  // namespace wainscot::bench
