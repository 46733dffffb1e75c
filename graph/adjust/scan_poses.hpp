#pragma once

// The pose of every used scan, not only of the nodes: each scan is matched against the adjusted wall pieces, and
// odometry ties each to the next. With the walls held fixed that is a chain, solved exactly in linear time (block
// tridiagonal elimination, the smoother of H. Rauch, F. Tung, C. Striebel, AIAA Journal 3(8), 1965, in information
// form).

#include <cstddef>
#include <cstdint>
#include <functional>
#include <vector>

#include <Eigen/Geometry>

#include "core/drive.hpp"
#include "core/odometry.hpp"
#include "core/rasteriser.hpp"
#include "graph/adjust/joint_adjustment.hpp"

namespace wainscot {

struct ScanPose {
  std::size_t scan = 0;  ///< index into Drive::scans
  double time_s = 0.0;   ///< of the first beam, wheels' clock
  Pose2 pose;
  Pose2 odometry;        ///< by odometry alone with the stated constants, from the first scan's pose on
  double overlap = 0.0;  ///< returns on wall pieces / returns with a normal
  Tangent2 extra_velocity{0.0, 0.0, 0.0};  ///< that bends odometry's path to the final one during the sweep
  /// Of each return nearer than the lidar's largest range, in firing order: 255 * the cosine between the beam and the
  /// normal of the surface, rounded up; 0 where that is not known.
  std::vector<std::uint8_t> incidence;
  Eigen::AlignedBox2d seen;  ///< holds these returns, map frame, to a centimetre
};

/// `scans`: indices into drive.scans, ascending, the nodes' among them. `jumps`: nodes, ascending, to which odometry
/// does not lead (TrackedPath::jumps); scans that were taken on the way there while the robot was carried or slid fit
/// neither end of it, and are left out.
std::vector<ScanPose> place_scans(const Drive& drive, const std::vector<OdometryStep>& steps,
                                  const std::vector<std::size_t>& scans, const std::vector<std::size_t>& jumps,
                                  const JointResult& adjusted, int threads,
                                  const std::function<void(double)>& progress);

/// The beams of one scan in the map frame, those that met nothing up to the lidar's largest range included. Those that
/// were answered from between two surfaces (scanmatch/mixed_returns.hpp) are vague.
using BeamsOfScan = std::function<std::vector<RasterBeam>(const ScanPose&)>;

/// Corrects a placed scan for the final path whenever it is asked for: all scans at once would fill the memory. The
/// arguments must outlive what is returned.
BeamsOfScan beams_of_scans(const Drive& drive, const OdometryPath& path, const JointResult& adjusted);

/// The scans in another frame, of which `new_old` is the pose of the present one (graph/mapping/map_frame.hpp).
std::vector<ScanPose> in_frame(const Pose2& new_old, std::vector<ScanPose> scans, const BeamsOfScan& beams_of,
                               int threads);

}  // namespace wainscot
