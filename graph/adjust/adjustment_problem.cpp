#include "graph/adjust/adjustment_problem.hpp"

#include <Eigen/Dense>

namespace wainscot {

RangeNoise AdjustmentState::range_noise(const AdjustmentProblem& problem) const {
  return {return_noise.range_ratio * problem.range_noise.near_m, return_noise.range_ratio * problem.range_noise.per_m};
}

AdjustmentProblem adjustment_problem(const Drive& drive, const std::vector<OdometryStep>& steps,
                                     const std::vector<Keyframe>& keyframes, const WallModel& walls) {
  AdjustmentProblem problem{drive,
                            steps,
                            walls,
                            {},
                            0.0,
                            odometry_noise(drive.robot),
                            range_noise(drive.robot.lidar),
                            constant_prior(drive).inverse(),
                            {}};
  problem.lidar_times_s.reserve(keyframes.size());
  for (const Keyframe& k : keyframes) problem.lidar_times_s.push_back(drive.scans[k.scan].time_s);
  problem.middle_s = 0.5 * (problem.lidar_times_s.front() + problem.lidar_times_s.back());
  return problem;
}

double prior_cost(const AdjustmentProblem& problem, const Constants& constants) {
  return 0.5 * constants.change.dot(problem.constant_information * constants.change) +
         problem.lengths.cost(constants.change);
}

}  // namespace wainscot
