#include "core/path_comparison.hpp"

#include <utility>

namespace wainscot {

PathComparison compare_path(std::string name, std::span<const TimedPose> estimate,
                            std::span<const TimedPose> reference) {
  PathComparison result;
  result.name = std::move(name);
  result.poses = aligned_path(estimate, reference).poses;
  result.error = absolute_trajectory_error(estimate, reference);
  result.shape = absolute_trajectory_error(estimate, reference, Alignment::with_scale);
  result.over_metre = relative_error_by_way(estimate, reference, 1.0);
  result.over_turn = relative_error_by_turn(estimate, reference);
  for (const double way_m : {0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0}) {
    const RelativePoseError error = relative_error_by_way(estimate, reference, way_m);
    if (error.pairs > 0) {
      result.over_way.push_back({way_m, error});
    }
  }
  const Relations relations = choose_relations(result.poses);
  result.along_way = relation_error(result.poses, relations.along_way);
  result.seen_again = relation_error(result.poses, relations.seen_again);
  result.drift = drift_rate(result.poses);
  return result;
}

}  // namespace wainscot
