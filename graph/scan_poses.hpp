#pragma once

// The pose of every used scan, not only of the nodes: each scan is matched against the adjusted wall pieces, and
// odometry ties each to the next. With the walls held fixed that is a chain, solved exactly in linear time (block
// tridiagonal elimination, the smoother of H. Rauch, F. Tung, C. Striebel, AIAA Journal 3(8), 1965, in information
// form).

#include <cstddef>
#include <functional>
#include <vector>

#include "core/drive.hpp"
#include "core/odometry.hpp"
#include "graph/joint_adjustment.hpp"

namespace wainscot {

struct ScanPose {
  std::size_t scan = 0;  ///< index into Drive::scans
  double time_s = 0.0;   ///< of the first beam, wheels' clock
  Pose2 pose;
  Pose2 odometry;                 ///< by odometry alone with the stated constants, beginning at the first scan's pose
  double overlap = 0.0;           ///< returns on wall pieces / returns with a normal
  std::vector<ScanPoint> points;  ///< motion-corrected with the final path
};

/// `scans`: indices into drive.scans, ascending, the nodes' among them.
std::vector<ScanPose> place_scans(const Drive& drive, const std::vector<OdometryStep>& steps,
                                  const std::vector<std::size_t>& scans, const JointResult& adjusted, int threads,
                                  const std::function<void(double)>& progress);

}  // namespace wainscot
