#pragma once

// Which columns tell of the robot's motion: the lidar moved by its own scans, and wheel counts, poses and yaw rates
// have to agree with that, whatever they are called.

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "core/drive.hpp"
#include "graph/motion/clock_fit.hpp"
#include "graph/motion/robot_fit.hpp"
#include "io/convert/lidar_track.hpp"
#include "io/convert/log_sample.hpp"
#include "io/convert/range_guess.hpp"
#include "io/convert/time_guess.hpp"

namespace wainscot {

/// The records of a motion, and how their clock stands to the lidar's.
struct MotionRecords {
  std::size_t file = 0, kind = 0;  ///< indices into the sample
  TimeGuess time;
  bool own_clock = false;  ///< another origin than the lidar's
  double shift_s = 0.0;    ///< added to these times before `clock` was found
  ClockFit clock;          ///< of the lidar against these times
  /// What is added to the lidar's times to bring them to these ones, in the middle of the sample.
  double lidar_offset_s() const { return clock.offset_s - shift_s; }
};

struct WheelGuess {
  MotionRecords records;
  std::size_t first = 0, second = 0;  ///< columns, in the log's order
  bool increments = false;
  std::string unit;                  ///< empty: counts; else m, cm, mm or rad: how far each wheel rolled
  double ticks_of_unit = 1.0;        ///< how many ticks of wheels.csv one of it becomes
  std::optional<int> wraps_at_bits;  ///< counters that were seen to wrap
  RobotFit fit;                      ///< with the first as the left wheel; metres of one count, or one of the unit
};

struct OdometryGuess {
  MotionRecords records;
  std::size_t x = 0, y = 0, heading = 0;
  std::string unit, heading_unit;  ///< m, cm, mm; deg, rad
  double unit_m = 1.0;
  bool flipped = false;  ///< x and y fit the headings only where one of y and heading is negated
  double arcs = 0.0;     ///< share of the way that goes where the heading points, 0..1
  RobotFit fit;          ///< as wheels of 1 m a tick; with y negated where flipped
};

struct GyroGuess {
  MotionRecords records;
  std::size_t column = 0;
  std::string unit;            ///< rad/s or deg/s
  bool against_lidar = false;  ///< it has the other sign than the lidar's turns
  double gain = 0.0;           ///< lidar's turn over the gyro's, without the sign
};

struct MotionGuess {
  std::vector<WheelGuess> wheels;  ///< the likeliest first
  std::vector<OdometryGuess> odometry;
  std::vector<GyroGuess> gyros;
};

/// `ranges`: the guess that `track` was made by; its columns are not looked at.
MotionGuess guess_motion(const LogSample& sample, const RangeGuess& ranges, const LidarTrack& track);

}  // namespace wainscot
