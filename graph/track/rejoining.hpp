#pragma once

// Whether a scan stands in the local map again after scans that fitted nothing: the robot was turned by hand, people
// stood around it, or it is somewhere else altogether.

#include <optional>
#include <vector>

#include "core/drive.hpp"
#include "core/odometry.hpp"
#include "graph/track/wall_evidence.hpp"
#include "scanmatch/icp.hpp"

namespace wainscot {

/// Where odometry says nothing, the walls have to say enough: nearly all that one scan sees, or what two scans see that
/// agree by what odometry says of the way between them; three, where much of what they see stands in free floor. Where
/// odometry has a guess after all, one scan is enough that agrees with it and sees nothing in free floor.
class Rejoining {
 public:
  /// Whether a scan's match can be believed; where it may be, the scan is remembered as a claim. `guessed_from`: the
  /// last place known, from which `path` is a guess (OdometryStep::is_guess); nullopt where it is none.
  bool accepts(double time_s, const std::vector<ScanPoint>& points, const IcpResult& found, const LocalWalls& walls,
               const OdometryPath& path, const std::optional<TimedPose>& guessed_from);

  void forget() { claims_.clear(); }

 private:
  std::vector<TimedPose> claims_;  ///< where scans might be in the local map
};

}  // namespace wainscot
