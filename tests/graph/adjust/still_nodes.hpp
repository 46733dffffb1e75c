#pragma once

// A robot that stood at a few places of the crooked room, as a problem of the joint adjustment: everything at its
// truth.

#include <vector>

#include "graph/adjust/adjustment_problem.hpp"
#include "graph/adjust/scan_correction.hpp"
#include "tests/graph/scene.hpp"

namespace wainscot {

struct StillNodes {
  std::vector<Pose2> truth{{0.0, 0.0, 0.1}, {0.4, 0.1, 0.4}, {0.8, -0.3, 0.9}, {0.3, -0.6, 1.6}, {-0.4, -0.2, 2.4}};
  Drive drive;
  std::vector<OdometryStep> steps;

  StillNodes() {
    drive.robot.lidar = still_lidar();
    for (std::size_t i = 0; i < truth.size(); ++i) {
      const double time_s = static_cast<double>(i);
      drive.scans.push_back(scan_at(crooked_room(), truth[i], time_s));
      drive.odometry.push_back({time_s, truth[i]});
    }
    steps = odometry_steps(drive);
  }

  std::vector<Keyframe> keyframes() const {
    std::vector<Keyframe> result;
    for (std::size_t i = 0; i < truth.size(); ++i) result.push_back({i, static_cast<double>(i), {}});
    return result;
  }
  AdjustmentProblem problem() const { return adjustment_problem(drive, steps, keyframes(), {}); }

  /// With the nodes at these poses, their scans corrected.
  AdjustmentState state(const std::vector<Pose2>& poses) const {
    AdjustmentState result{keyframes(), poses, {}, MarkerFactors({}, poses), LineFactors({}, poses)};
    correct_scans(problem(), result);
    return result;
  }
  AdjustmentState state() const { return state(truth); }
};

}  // namespace wainscot
