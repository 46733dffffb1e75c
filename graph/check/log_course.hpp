#pragma once

// What wheels, gyro and scans say from moment to moment, for a picture of a log. A check comes by most of it anyway.

#include <cstddef>
#include <string>
#include <vector>

#include "core/drive.hpp"
#include "graph/check/readable_log.hpp"
#include "graph/motion/clock_fit.hpp"
#include "graph/motion/lidar_motion.hpp"
#include "graph/motion/robot_fit.hpp"

namespace wainscot {

/// Values in the order of their times; a value that is no number (NaN) parts what is not one stretch.
struct TimedValues {
  std::vector<double> time_s;
  std::vector<double> value;

  void add(double time, double number);
  /// The next value begins a new stretch.
  void part();
};

struct TimeSpan {
  double begin_s = 0.0;
  double end_s = 0.0;
};

/// Stretches of time of one kind.
struct NamedSpans {
  std::string name;  ///< what they are, for people
  std::vector<TimeSpan> spans;
};

struct LogCourse {
  /// Of all rows, on the wheels' clock as robot.yaml has it; both 0 of a log without rows.
  TimeSpan time;
  bool by_odometry = false;  ///< what is called the wheels' is odometry.csv's
  /// Forward speed and rate of turn by wheels.csv or odometry.csv, with robot.yaml's constants: means of 0.2 s.
  TimedValues wheels_m_s, wheels_rad_s;
  /// The same of the robot's middle by the scans alone, where they fit one another for sure.
  TimedValues scans_m_s, scans_rad_s;
  TimedValues gyro_rad_s;  ///< sign, scale and bias applied; means of 0.2 s
  /// How far wheels and scans are apart after each stride of some decimetres, with the constants as found: what tells a
  /// slip. Never negative.
  TimedValues apart_m, apart_rad;
  TimedValues returns;            ///< of each scan as logged
  std::size_t most_returns = 0;   ///< that a scan has
  std::vector<NamedSpans> holes;  ///< rows and scans that are not there, counters that do not count
};

/// Adds what the rows say by themselves. `logged`: scans as written.
void add_rows(const Drive& drive, const std::vector<Scan>& logged, LogCourse& course);

/// Adds what the scans' own motion says; `lidar`: where it sits.
void add_scan_motion(const LidarMotion& motion, const LidarConstants& lidar, LogCourse& course);

/// Adds how far wheels and scans are apart.
void add_residuals(const std::vector<LidarStride>& strides, const RobotFit& fit, const ClockFit& clock,
                   LogCourse& course);

/// The course of a log that cannot be checked: what its rows say, and where nothing else tells of the motion, scans.
LogCourse course_without_check(const LogReadings& readings, int threads);

}  // namespace wainscot
