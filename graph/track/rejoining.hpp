#pragma once

// Whether a scan stands in the local map again after scans that fitted nothing: the robot was turned by hand, people
// stood around it, or it is somewhere else altogether.

#include <cstddef>
#include <vector>

#include "core/drive.hpp"
#include "core/odometry.hpp"
#include "graph/track/wall_evidence.hpp"
#include "scanmatch/icp.hpp"

namespace wainscot {

/// Where odometry says nothing, the walls have to say enough: nearly all that one scan sees, or what two scans see that
/// agree by what odometry says of the way between them; three, where much of what they see stands in free floor.
class Rejoining {
 public:
  /// Whether a scan's match can be believed; where it may be, the scan is remembered as a claim.
  bool accepts(double time_s, const std::vector<ScanPoint>& points, const IcpResult& found, const LocalWalls& walls,
               const OdometryPath& path);

  void forget() { claims_.clear(); }

 private:
  std::ptrdiff_t claims_of(double time_s, const Pose2& pose, const OdometryPath& path) const;

  std::vector<TimedPose> claims_;  ///< where scans might be in the local map
};

}  // namespace wainscot
