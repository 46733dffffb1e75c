#pragma once

// A robot that drives where no map is yet: each scan is matched against the walls of the last few metres, as soon as it
// has come. What it finds drifts as a path without closed loops does; who maps the drive so far from time to time
// (`wainscot follow` does) lays the newest part onto that map.

#include <cstddef>
#include <optional>
#include <vector>

#include "core/drive.hpp"
#include "core/pose2.hpp"
#include "graph/known/drive_steps.hpp"
#include "graph/live/recent_drive.hpp"
#include "graph/track/local_map.hpp"
#include "scanmatch/icp.hpp"
#include "scanmatch/motion_correction.hpp"

namespace wainscot {

/// How a scan went together with the walls around and with odometry.
enum class TrackedBy {
  walls,             ///< and odometry agrees
  walls_only,        ///< clearly elsewhere than odometry says: the wheels slipped, or somebody moved the robot
  odometry,          ///< too little of the scan fits the walls around
  new_surroundings,  ///< nothing has fitted for a while: the walls around are those of this scan now
};

struct TrackedScan {
  std::size_t scan = 0;  ///< counted by add_scan()
  double time_s = 0.0;   ///< of its first beam
  Pose2 pose;            ///< of the robot then, in the frame of the first scan's
  TrackedBy by = TrackedBy::walls;
  double overlap = 0.0;               ///< share of the returns that lie on walls seen before
  bool left_open = false;             ///< the walls do not tell where along them the robot is, or its heading
  Tangent2 speed = Tangent2::Zero();  ///< m/s and rad/s, in the robot's frame
  std::vector<ScanPoint> points;      ///< in the robot's frame
};

/// Memory grows by 8 bytes for each 0.3 m of way, time not at all.
class LiveTracker {
 public:
  /// `lidar`: lidar_model(robot.lidar), or refined.
  LiveTracker(const Robot& robot, const LidarModel& lidar);

  /// What RecentDrive takes.
  RecentDrive& readings() { return recent_; }

  /// The scans since the last call: of those that odometry has gone past, by 25 ms past the first beam.
  std::vector<TrackedScan> take();

 private:
  TrackedScan track(std::size_t number);
  IcpResult matched(const DriveStep& step, const Pose2& predicted, const Eigen::Matrix3d& covariance) const;
  void keep(const TrackedScan& here);

  RecentDrive recent_;
  LidarModel lidar_;
  LocalMap walls_;
  std::optional<double> before_s_;                        ///< time of the last scan
  Pose2 pose_;                                            ///< of the robot then,
  Eigen::Matrix3d covariance_ = Eigen::Matrix3d::Zero();  ///< and what odometry has left open since the last match
  double way_m_ = 0.0;
  double kept_way_m_ = 0.0, since_kept_rad_ = 0.0;  ///< since the walls of a scan were taken into walls_
  int misfits_ = 0;                                 ///< in a row
  bool has_walls_ = false;
};

}  // namespace wainscot
