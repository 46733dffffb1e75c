#pragma once

// All measures of how far one path lies from another of the same drive.

#include <span>
#include <string>
#include <vector>

#include "core/drift_rate.hpp"
#include "core/pose_pairs.hpp"
#include "core/relation_metric.hpp"
#include "core/trajectory_error.hpp"

namespace wainscot {

struct StretchError {
  double way_m = 0.0;
  RelativePoseError error;
};

struct PathComparison {
  std::string name;                    ///< of the estimate, for people
  TrajectoryError error;               ///< after rigid alignment
  TrajectoryError shape;               ///< after alignment with a scale
  RelativePoseError over_metre;        ///< over 1 m of way
  RelativePoseError over_turn;         ///< over 360 degrees of turning
  std::vector<StretchError> over_way;  ///< over 0.5 m, 1 m, 2 m, 5 m ..., as far as the path is long
  RelationError along_way;
  RelationError seen_again;
  DriftRate drift;
  std::vector<PosePair> poses;  ///< in the reference's frame, after rigid alignment
};

/// Throws std::invalid_argument where fewer than two rows of the estimate lie inside the reference's times.
PathComparison compare_path(std::string name, std::span<const TimedPose> estimate,
                            std::span<const TimedPose> reference);

}  // namespace wainscot
