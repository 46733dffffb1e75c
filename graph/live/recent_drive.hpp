#pragma once

// The last half minute of a drive that goes on: a robot's readings in, as they come, its scans out, each when all that
// is to be known of the robot's motion during it has come.

#include <cstddef>
#include <deque>
#include <optional>
#include <vector>

#include "core/drive.hpp"

namespace wainscot {

/// Time and memory a reading do not grow with the drive: of odometry only what was recorded since half a minute before
/// the last scan is kept, and of scans that wait for odometry the last 20,000. All times are seconds on the wheels'
/// clock.
class RecentDrive {
 public:
  explicit RecentDrive(const Robot& robot) { recent_.robot = robot; }

  /// Odometry: the wheels' counts (cumulative, unwrapped), or poses that the robot integrated itself, never both.
  /// Throws `InputError` where the time is no finite number or earlier than the one before, and nothing is taken.
  void add_counts(const WheelCounts& counts);
  void add_pose(const TimedPose& pose);
  /// The same; rates as logged, Robot::gyro is applied.
  void add_yaw_rate(const YawRate& rate);
  /// The motion up to the next counts or pose is not known: a counter began anew, the robot was carried.
  void add_break() { broken_ = true; }
  /// A whole turn of the lidar, its blind sectors left out. Throws as above.
  void add_scan(Scan scan);

  /// The number, counted by add_scan(), of the next scan behind whose first and last beam odometry has gone by these
  /// times; nullopt: none yet. It is then the one scan of drive(). Those of fewer than 20 returns, or from before the
  /// first odometry, are passed over.
  std::optional<std::size_t> next_scan(double past_first_s, double past_last_s);

  /// What is kept of the odometry, and the scan that next_scan() gave last.
  const Drive& drive() const { return recent_; }
  const Scan& scan() const { return recent_.scans.front(); }

 private:
  double odometry_begin_s() const;
  double odometry_end_s() const;
  void forget_before(double time_s);
  void note_break(std::size_t sample);

  Drive recent_;
  std::deque<Scan> waiting_;  ///< for odometry to go past them
  std::size_t given_ = 0;     ///< or passed over: the number of the first that waits
  bool broken_ = false;
  std::optional<double> before_s_;  ///< time of the scan that was given last
};

}  // namespace wainscot
