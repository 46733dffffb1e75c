#pragma once

// Correcting a scan for the robot's motion: every beam is placed by its own time and pose.
//
// A lidar that takes 0.15 s for a turn, on a robot that turns by 60 degrees a second, smears a scan over 9 degrees.
// Within one sweep the motion is taken from the odometry's path, bent by a constant velocity so that it arrives where
// the mapper found the next scan.

#include <array>
#include <vector>

#include "core/drive.hpp"
#include "core/odometry.hpp"
#include "core/pose2.hpp"

namespace wainscot {

/// The lidar's constants that the mapper may refine.
struct LidarModel {
  Pose2 mounting;            ///< of the lidar in the robot's frame
  double range_scale = 1.0;  ///< range = measured * range_scale + range_offset_m
  double range_offset_m = 0.0;
  double sweep_scale = 1.0;  ///< the true time of a turn / the stated time
};

LidarModel lidar_model(const LidarConstants& constants);

/// One return of a scan in the robot's frame at the scan's first beam.
struct ScanPoint {
  float x_m, y_m;            ///< where the beam ended
  float beam_x, beam_y;      ///< unit vector along the beam, away from the lidar
  float range_m;             ///< corrected range, > 0
  float normal_x, normal_y;  ///< unit normal of the wall, towards the lidar; (0, 0): not known
  float time_offset_s;       ///< of the beam after the first one
  float angle_rad;           ///< of the beam in the lidar's frame
  float measured_m = 0.0F;   ///< range before correction
  float spacing_m = 0.0F;    ///< between returns along the wall, where a normal is known

  bool has_normal() const { return normal_x != 0.0F || normal_y != 0.0F; }
};

/// The robot's motion within one sweep: poses relative to the first beam's at equal steps of time.
struct SweepMotion {
  /// Between two steps the speeds are taken for constant: a turn that quickens by 1 rad/s^2 within a sweep of 0.2 s
  /// departs by (0.2 / 16)^2 / 8 rad from that, 0.1 mm at 5 m.
  static constexpr int kSteps = 16;
  double duration_s = 0.0;  ///< 0: all beams at once
  std::array<Pose2, kSteps + 1> poses;
};

/// Motion from `begin_s` for `duration_s` along the odometry's path, with `extra_velocity` (m/s, m/s, rad/s in the
/// robot's frame) added.
SweepMotion sweep_motion(const OdometryPath& path, double begin_s, double duration_s, const Tangent2& extra_velocity);

/// Time from a scan's first beam to its last return, with the model's sweep_scale.
double sweep_duration_s(const Scan& scan, const LidarModel& lidar);

/// Places the returns nearer than `max_range_m`, in firing order, without normals.
std::vector<ScanPoint> correct_motion(const Scan& scan, const LidarModel& lidar, double max_range_m,
                                      const SweepMotion& motion);

}  // namespace wainscot
