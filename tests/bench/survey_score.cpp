#include "tests/bench/survey_score.hpp"

#include "tests/bench/true_pose.hpp"

namespace wainscot::bench {

double without_alignment_m(const Map& map, const std::vector<TimedPose>& truth) {
  double sum = 0.0;
  for (const TrajectoryRow& row : map.trajectory) {
    sum += (row.pose.translation() - true_pose(truth, row.time_s).translation()).squaredNorm();
  }
  return std::sqrt(sum / static_cast<double>(map.trajectory.size()));
}

}  // namespace wainscot::bench
