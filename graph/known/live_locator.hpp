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
// tests/graph/known/live_locator_test.cpp has this whole and running. The answers are those of locate_drive(), but that
// a gyro's bias is that of the last half minute.

#include <cstddef>
#include <deque>
#include <optional>
#include <vector>

#include "core/drive.hpp"
#include "graph/known/locate.hpp"
#include "scanmatch/motion_correction.hpp"

namespace wainscot {

/// Time and memory a reading do not grow with the drive: of odometry only what was recorded since half a minute before
/// the last scan is kept. All times are seconds on the wheels' clock.
class LiveLocator {
 public:
  /// `map` must outlive this. `robot`: its constants; `lidar`: lidar_model(robot.lidar), or refined. All three of
  /// KnownRobot.
  LiveLocator(const KnownMap& map, const Robot& robot, const LidarModel& lidar, const LocatorOptions& options = {});

  /// Odometry: the wheels' counts (cumulative, unwrapped), or poses that the robot integrated itself, never both.
  /// Throws `InputError` where the time is no finite number or earlier than the one before, and nothing is taken.
  void add_counts(const WheelCounts& counts);
  void add_pose(const TimedPose& pose);
  /// The same; rates as logged, Robot::gyro is applied.
  void add_yaw_rate(const YawRate& rate);
  /// The motion up to the next counts or pose is not known: a counter began anew, the robot was carried.
  void add_break() { broken_ = true; }

  /// A whole turn of the lidar, its blind sectors left out. Throws as above. A scan of fewer than 20 returns, or from
  /// before the first odometry, gets no answer.
  void add_scan(Scan scan);

  /// The answers since the last call, one a scan: of those behind whose last beam odometry has gone by 25 ms and the
  /// delay of the lidar's clock. `LocatedScan::scan` counts the scans that were added.
  std::vector<LocatedScan> take();
  /// Also of those that odometry has just gone past: nothing more will come.
  std::vector<LocatedScan> finish();

  /// What was found last; lost before the first scan.
  const Location& location() const { return locator_.location(); }
  /// The robot was put somewhere else: forgets where it is.
  void restart() { locator_.restart(); }

 private:
  double odometry_begin_s() const;
  double odometry_end_s() const;
  std::vector<LocatedScan> answers(double beyond_s);
  std::optional<LocatedScan> answer(std::size_t number, Scan scan);
  void forget_before(double time_s);
  void note_break(std::size_t sample);

  Drive recent_;  ///< the last odometry, and the scan that is asked about
  LidarModel lidar_;
  Locator locator_;
  std::deque<Scan> waiting_;  ///< for odometry to go past them
  std::size_t answered_ = 0;  ///< or left out: the number of the first that waits
  bool broken_ = false;
  std::optional<double> before_s_;  ///< time of the last scan that was answered
  double told_s_ = 0.0;             ///< and the time that was told for it
};

}  // namespace wainscot
