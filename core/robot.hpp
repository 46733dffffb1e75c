#pragma once

// The robot's constants, as `robot.yaml` states them (io/FORMATS.md). Every field has the file's default.

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace wainscot {

/// Constants of a differential drive: metres a wheel rolls for each tick of its counter, and the effective track width.
struct DriveConstants {
  double left_m_per_tick = 0.0;  ///< negative: this wheel's counter runs backwards; never 0 where wheels.csv is used
  double right_m_per_tick = 0.0;
  double track_width_m = 0.0;                ///< the effective width: the one that makes turns come out right; > 0
  std::optional<double> left_sd_m_per_tick;  ///< standard uncertainty; nullopt: the file does not say
  std::optional<double> right_sd_m_per_tick;
  std::optional<double> track_width_sd_m;
  std::map<std::string, double> track_width_by_surface_m;
  int counter_bits = 32;  ///< 16 or 32
};

/// How far odometry is trusted.
struct MotionNoise {
  double sd_m_per_sqrt_m = 0.02;      ///< grows with the square root of the way driven
  double sd_rad_per_sqrt_rad = 0.05;  ///< and of the angle turned
};

struct GyroConstants {
  int sign = 1;        ///< 1 or -1
  double scale = 1.0;  ///< radians a second for one of the log's; 0.0174533 for a log in degrees a second
  double bias_rad_s = 0.0;
  double sd_rad_s = 0.01;  ///< white noise of one sample
};

/// What odometry.csv counts in.
struct OdometryUnits {
  double position_m = 1.0;   ///< 0.001 for a log in millimetres; > 0
  double heading_rad = 1.0;  ///< 0.0174533 for a log in degrees; > 0
};

/// An angular sector of the lidar's frame, counter-clockwise from `from_deg` to `to_deg`; may cross 0.
struct Sector {
  double from_deg = 0.0;
  double to_deg = 0.0;
};

struct LidarConstants {
  double x_m = 0.0;  ///< where the lidar sits in the robot's frame
  double y_m = 0.0;
  double heading_deg = 0.0;
  bool mirrored = false;  ///< true: the angles run the other way round
  std::optional<double>
      sweep_s;                ///< time of one turn of 360 degrees; 0: all beams at once; nullopt: from the scans' times
  double min_range_m = 0.15;  ///< of hobby lidars' data sheets, as the next
  double max_range_m = 8.0;   ///< beyond it nothing is believed; data sheets say 6 to 12
  double noise_m = 0.015;     ///< one standard deviation of a range near by
  double noise_per_m = 0.0;   ///< and its growth with the range
  double range_unit_m = 1.0;  ///< 0.001 for a log in millimetres
  double range_scale = 1.0;   ///< a lidar that measures metres
  double range_offset_m = 0.0;
  double time_offset_s = 0.0;  ///< added to the lidar's times to bring them to the wheels' clock
  double clock_rate = 1.0;     ///< seconds of the wheels' clock for one of the lidar's
  std::vector<Sector> blind_deg;
};

/// What robot.yaml leaves out although wheels.csv is used, so that the drive itself has to tell it.
struct LeftOut {
  bool wheels = false;    ///< both metres a tick and the track width; false: the other two are false too
  bool mounting = false;  ///< and all three of the lidar's x_m, y_m and heading_deg
  bool mirrored = false;  ///< and whether the lidar's angles run the other way round
  /// The values beside these are the drive's (graph/motion/found_robot). While it is false, the wheels' are guesses by
  /// the counts alone, good enough to tell a jump of a counter from a step.
  bool found = false;
};

struct Robot {
  std::optional<DriveConstants> drive;
  MotionNoise motion_noise;
  OdometryUnits odometry;
  GyroConstants gyro;
  LidarConstants lidar;
  LeftOut left_out;
};

}  // namespace wainscot
