#pragma once

// Small simulated homes, driven, written as a drive folder and read back, for tests of the stages together.

#include <cstdint>
#include <vector>

#include "apps/simulator/plan.hpp"
#include "apps/simulator/simulate.hpp"
#include "apps/simulator/write_drive.hpp"
#include "core/trajectory_error.hpp"
#include "graph/adjust/joint_adjustment.hpp"
#include "graph/close/loop_closure.hpp"
#include "graph/track/keyframes.hpp"
#include "io/log/drive_reader.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {

// With sanitizers everything takes ten times as long: the robot drives once around there, twice elsewhere.
#ifdef WAINSCOT_UNDER_ASAN
constexpr bool kSlowBuild = true;
#else
constexpr bool kSlowBuild = false;
#endif

/// Four rooms with doors in a ring, 7 m x 5 m, furnished; the robot without defects drives once around and the
/// beginning of the ring again, or twice around.
inline simulator::Plan ring_house(int rounds = kSlowBuild ? 1 : 2) {
  using simulator::FurnitureShape;
  simulator::Plan plan;
  plan.name = "ring";
  const double t = 0.2;
  plan.walls = {{{-t, -t / 2}, {7.0 + t, -t / 2}, t, {}},
                {{7.0 + t / 2, -t}, {7.0 + t / 2, 5.0 + t}, t, {}},
                {{-t, 5.0 + t / 2}, {7.0 + t, 5.0 + t / 2}, t, {}},
                {{-t / 2, -t}, {-t / 2, 5.0 + t}, t, {}},
                {{3.2, 0.0}, {3.2, 5.0}, 0.1, {{1.1, 0.9, {}, false, false}, {3.8, 0.8, {}, false, false}}},
                {{0.0, 2.5}, {7.0, 2.5}, 0.12, {{1.2, 0.8, {}, false, false}, {5.4, 1.0, {}, false, false}}}};
  plan.furniture = {{"shelf", FurnitureShape::box, {0.2, 4.0}, 1.2, 0.3, 90.0, 0.04},
                    {"sofa", FurnitureShape::box, {6.5, 0.9}, 1.6, 0.8, 80.0, 0.04},
                    {"plant", FurnitureShape::round, {2.6, 0.4}, 0.4, 0.4, 0.0, 0.04},
                    {"table", FurnitureShape::legs, {6.3, 4.3}, 1.0, 0.7, 10.0, 0.05},
                    {"bed", FurnitureShape::box, {0.6, 0.4}, 0.8, 0.6, 0.0, 0.04}};
  for (int round = 0; round < rounds; ++round) {
    for (const simulator::Point point : {simulator::Point{1.3, 1.1}, {5.4, 1.1}, {5.4, 3.8}, {1.2, 3.8}}) {
      plan.route.push_back({point, 0.0, false});
    }
  }
  plan.route.push_back({{1.3, 1.1}, 0.0, false});
  plan.route.push_back({{4.4, 1.1}, 0.0, false});
  plan.robot.lidar.range_step_m = 0.0;
  plan.robot.lidar.x_m = 0.05;
  plan.defects = simulator::perfect(simulator::Defects());
  return plan;
}

struct DrivenHouse {
  Drive drive;
  simulator::Truth truth;

  Pose2 true_pose(double time_s) const {
    const std::vector<TimedPose>& path = truth.trajectory;
    std::size_t after = 1;
    while (after + 1 < path.size() && path[after].time_s < time_s) ++after;
    const TimedPose& a = path[after - 1];
    const TimedPose& b = path[after];
    return interpolate(a.pose, b.pose, (time_s - a.time_s) / (b.time_s - a.time_s));
  }
};

inline DrivenHouse driven(const simulator::Plan& plan, std::uint64_t seed = 1) {
  const ReaderFolder folder;
  const simulator::SimulatedDrive simulated = simulator::simulate(plan, seed);
  simulator::write_drive(simulated, plan.robot, folder.path() / "drive");
  return {read_drive(folder.path() / "drive"), simulated.truth};
}

inline std::vector<std::size_t> all_scans(const Drive& drive) {
  std::vector<std::size_t> scans;
  for (std::size_t i = 0; i < drive.scans.size(); ++i) scans.push_back(i);
  return scans;
}

/// The stages up to the joint adjustment.
struct AdjustedHouse {
  std::vector<OdometryStep> steps;
  TrackedPath tracked;
  ClosedGraph closed;
  JointResult joint;
};

inline AdjustedHouse adjusted(const Drive& drive, const JointOptions& options = {}) {
  AdjustedHouse house;
  house.steps = odometry_steps(drive);
  house.tracked = track_keyframes(drive, all_scans(drive), house.steps, {}, {});
  const LidarConstants& lidar = drive.robot.lidar;
  house.closed = close_loops(house.tracked, {lidar.noise_m, lidar.noise_per_m}, {}, 1, {});
  std::vector<Pose2> poses;
  for (const Node& node : house.closed.graph.nodes) poses.push_back(node.pose);
  house.joint = adjust_jointly(drive, house.steps, house.tracked.keyframes, poses, options, 1, {});
  return house;
}

/// Error of the adjusted nodes against the truth.
inline TrajectoryError error_of(const JointResult& joint, const simulator::Truth& truth) {
  std::vector<TimedPose> path;
  for (std::size_t i = 0; i < joint.poses.size(); ++i) path.push_back({joint.keyframes[i].time_s, joint.poses[i]});
  return absolute_trajectory_error(path, truth.trajectory);
}

}  // namespace wainscot
