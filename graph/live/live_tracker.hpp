#pragma once

// A robot that drives where no map is yet: each scan is matched against the walls of the last few metres, as soon as it
// has come. What it finds drifts as a path without closed loops does; who maps the drive so far from time to time
// (`wainscot follow` does) lays the newest part onto that map.

#include <cstddef>
#include <optional>
#include <vector>

#include "core/drive.hpp"
#include "core/odometry.hpp"
#include "core/pose2.hpp"
#include "graph/live/recent_drive.hpp"
#include "graph/track/keyframes.hpp"
#include "graph/track/local_map.hpp"
#include "graph/track/predicted_step.hpp"
#include "graph/track/rejoining.hpp"
#include "graph/track/wall_evidence.hpp"
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
  bool left_open = false;             ///< the walls do not tell where along them the robot is, or its heading
  Tangent2 speed = Tangent2::Zero();  ///< m/s and rad/s, in the robot's frame
  std::vector<ScanPoint> points;      ///< in the robot's frame
};

/// As track_keyframes() does, but with what was recorded so far, and a place for each scan. Time does not grow with the
/// way, and memory by a hundred bytes for each node, 0.3 m.
class LiveTracker {
 public:
  /// `lidar`: lidar_model(robot.lidar), or refined.
  LiveTracker(const Robot& robot, const LidarModel& lidar);

  /// What RecentDrive takes.
  RecentDrive& readings() { return recent_; }

  /// The scans since the last call: of those that odometry has gone past, by 25 ms past the first beam.
  std::vector<TrackedScan> take();

 private:
  /// Odometry of the last half minute.
  struct Motion {
    explicit Motion(const Drive& drive);
    std::vector<OdometryStep> steps;
    OdometryPath path;
    StepPrediction prediction;
  };

  TrackedScan track(std::size_t number);
  void place(const Motion& motion, const PredictedStep& step, double way_m, bool moved, TrackedScan& here);
  bool has_moved(const Motion& motion, double time_s) const;
  bool is_lost(const Motion& motion, double time_s);
  void take_as_node(const TrackedScan& here, double way_m);

  RecentDrive recent_;
  LidarModel lidar_;
  TrackingOptions options_;
  LocalMap map_;
  Rejoining rejoining_;
  std::vector<Keyframe> nodes_;  ///< those that the local map has forgotten without their returns
  std::vector<Pose2> poses_;     ///< of the nodes
  std::size_t forgotten_ = 0;    ///< of the nodes
  double way_m_ = 0.0;           ///< up to the last node
  double surprise_ = 1.0;        ///< running mean of chi squared against odometry, by degree of freedom
  std::optional<double> lost_since_s_;
};

}  // namespace wainscot
