#pragma once

// Two paths of one drive, paired by time: what every measure of their distance begins with.

#include <span>
#include <vector>

#include "core/drive.hpp"
#include "core/pose2.hpp"

namespace wainscot {

struct PosePair {
  double time_s = 0.0;
  Pose2 estimate;
  Pose2 truth;  ///< of the reference, whatever it is
};

/// One pair a row of the estimate that lies inside the truth's times, ends included; the others are left out, never
/// extrapolated. Between two of its rows the truth follows an arc of SE(2), the short way round, since a file's
/// headings may jump by a whole turn. Times must not decrease within one path.
std::vector<PosePair> paired_by_time(std::span<const TimedPose> estimate, std::span<const TimedPose> truth);

}  // namespace wainscot
