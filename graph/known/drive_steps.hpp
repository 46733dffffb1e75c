#pragma once

// A recorded drive as a Locator takes it (locate.hpp): scan by scan, forwards or backwards in time.

#include <cstddef>
#include <vector>

#include <Eigen/Core>

#include "core/drive.hpp"
#include "core/odometry.hpp"
#include "core/pose2.hpp"
#include "graph/constants.hpp"
#include "scanmatch/motion_correction.hpp"
#include "scanmatch/normals.hpp"

namespace wainscot {

/// The speed at a scan is that of the motion from so long before its first beam to so long behind it: wheels are read
/// some fifty times a second.
inline constexpr double kHalfOfSpeedS = 0.025;

/// m/s and rad/s, in the robot's frame.
Tangent2 speed_at(const OdometryPath& path, double time_s);

/// What Locator::add() takes.
struct DriveStep {
  std::vector<ScanPoint> points;
  Pose2 moved;
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();
  Tangent2 speed = Tangent2::Zero();  ///< m/s and rad/s, as driven: also where the drive is gone through backwards
};

class DriveSteps {
 public:
  /// `drive` must outlive this. `lidar`: lidar_model(drive.robot.lidar), or refined. Throws `PoorData` where there is
  /// no odometry or no usable scan.
  DriveSteps(const Drive& drive, const LidarModel& lidar);

  const std::vector<std::size_t>& scans() const { return scans_; }  ///< usable ones, ascending; not empty
  double time_s(std::size_t scan) const;                            ///< of its first beam, as recorded
  RangeNoise noise() const;                                         ///< of the drive's lidar

  /// Scan `scan`, whose first beam was fired at `to_s`, after the motion since `from_s`, which may be later than
  /// `to_s`: then the motion is the one back in time.
  DriveStep at(std::size_t scan, double from_s, double to_s) const;

 private:
  const Drive& drive_;
  LidarModel lidar_;
  std::vector<OdometryStep> steps_;
  std::vector<std::size_t> scans_;
  OdometryPath path_;
  OdometryNoise noise_;
  ConstantMatrix constants_;
};

}  // namespace wainscot
