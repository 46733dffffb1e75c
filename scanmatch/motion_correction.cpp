#include "scanmatch/motion_correction.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace wainscot {

LidarModel lidar_model(const LidarConstants& constants) {
  LidarModel model;
  model.mounting = {constants.x_m, constants.y_m, constants.heading_deg * std::numbers::pi / 180.0};
  model.range_scale = constants.range_scale;
  model.range_offset_m = constants.range_offset_m;
  return model;
}

double sweep_duration_s(const Scan& scan, const LidarModel& lidar) {
  return scan.returns.empty() ? 0.0 : lidar.sweep_scale * static_cast<double>(scan.returns.back().time_offset_s);
}

SweepMotion sweep_motion(const OdometryPath& path, double begin_s, double duration_s, const Tangent2& extra_velocity) {
  SweepMotion motion;
  motion.duration_s = duration_s;
  if (duration_s <= 0.0) return motion;
  const Pose2 back = inverse(path.pose_at(begin_s));
  for (int i = 0; i <= SweepMotion::kSteps; ++i) {
    const double after_s = duration_s * i / SweepMotion::kSteps;
    motion.poses[static_cast<std::size_t>(i)] = back * path.pose_at(begin_s + after_s) * exp(after_s * extra_velocity);
  }
  return motion;
}

std::vector<ScanPoint> correct_motion(const Scan& scan, const LidarModel& lidar, double max_range_m,
                                      const SweepMotion& motion) {
  std::vector<ScanPoint> points;
  points.reserve(scan.returns.size());
  std::array<Eigen::Vector2d, SweepMotion::kSteps + 1> lidars;  // where it is at each knot
  for (std::size_t i = 0; i < lidars.size(); ++i) lidars[i] = (motion.poses[i] * lidar.mounting).translation();
  const double steps_per_s = motion.duration_s > 0.0 ? SweepMotion::kSteps / motion.duration_s : 0.0;
  for (const Return& beam : scan.returns) {
    if (beam.range_m >= max_range_m) continue;
    const double range = beam.range_m * lidar.range_scale + lidar.range_offset_m;
    if (range <= 0.0) continue;
    const double place = std::min(beam.time_offset_s * lidar.sweep_scale * steps_per_s, SweepMotion::kSteps - 1e-9);
    const auto knot = static_cast<std::size_t>(place);
    const double u = place - static_cast<double>(knot);
    const Pose2& before = motion.poses[knot];
    const Pose2& after = motion.poses[knot + 1];
    // Between knots the motion is millimetres: a chord is as good as an arc.
    const double direction =
        std::lerp(before.heading_rad, after.heading_rad, u) + lidar.mounting.heading_rad + beam.angle_rad;
    // To 10^-7, a micrometre at 10 m, which single precision gives in a third of the time.
    const float beam_x = std::cos(static_cast<float>(direction));
    const float beam_y = std::sin(static_cast<float>(direction));
    const double x = std::lerp(lidars[knot].x(), lidars[knot + 1].x(), u);
    const double y = std::lerp(lidars[knot].y(), lidars[knot + 1].y(), u);
    points.push_back({static_cast<float>(x + range * beam_x), static_cast<float>(y + range * beam_y), beam_x, beam_y,
                      static_cast<float>(range), 0.0F, 0.0F, beam.time_offset_s, beam.angle_rad, beam.range_m});
  }
  return points;
}

}  // namespace wainscot
