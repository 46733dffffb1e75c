#pragma once

// A robot found in a map while it drives: its own readings in, as they come, an answer for each scan out.
//
//   wainscot::LiveLocator live(house, robot.drive.robot, robot.lidar, robot.options);
//   for (;;) {
//     live.add_counts({now_s, left_ticks, right_ticks});       // each time that the wheels were read
//     if (lidar_has_turned) live.add_scan(scan);
//     for (const wainscot::LocatedScan& here : live.take()) steer_by(here);
//   }
//
// tests/graph/live/live_locator_test.cpp has this whole and running. The answers are those of locate_drive(), but that
// a gyro's bias is that of the last half minute.

#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

#include "core/drive.hpp"
#include "graph/known/locate.hpp"
#include "graph/live/recent_drive.hpp"
#include "scanmatch/motion_correction.hpp"

namespace wainscot {

/// Time and memory a reading do not grow with the drive (graph/live/recent_drive.hpp, whose functions these are).
class LiveLocator {
 public:
  /// `map` must outlive this. `robot`: its constants; `lidar`: lidar_model(robot.lidar), or refined. All three of
  /// KnownRobot.
  LiveLocator(const KnownMap& map, const Robot& robot, const LidarModel& lidar, const LocatorOptions& options = {});

  void add_counts(const WheelCounts& counts) { recent_.add_counts(counts); }
  void add_pose(const TimedPose& pose) { recent_.add_pose(pose); }
  void add_yaw_rate(const YawRate& rate) { recent_.add_yaw_rate(rate); }
  void add_break() { recent_.add_break(); }
  void add_scan(Scan scan) { recent_.add_scan(std::move(scan)); }

  /// The answers since the last call, one a scan: of those behind whose last beam odometry has gone by `past_last_s`
  /// and the delay of the lidar's clock, and behind whose first by 25 ms and that. Counts that come later smooth those
  /// before: asked at once (0), places are as good as the same, and their covariances differ by some 10^-5 of them.
  /// `LocatedScan::scan` counts the scans that were added.
  std::vector<LocatedScan> take(double past_last_s = kHalfOfSpeedS);
  /// Also of those that odometry has just gone past: nothing more will come.
  std::vector<LocatedScan> finish();

  /// What was found last; lost before the first scan.
  const Location& location() const { return locator_.location(); }
  /// The robot was put somewhere else: forgets where it is.
  void restart() { locator_.restart(); }

 private:
  std::vector<LocatedScan> answers(double past_first_s, double past_last_s);
  LocatedScan answer(std::size_t number);

  RecentDrive recent_;
  LidarModel lidar_;
  Locator locator_;
  std::optional<double> before_s_;  ///< time of the last scan that was answered
  double told_s_ = 0.0;             ///< and the time that was told for it
};

}  // namespace wainscot
