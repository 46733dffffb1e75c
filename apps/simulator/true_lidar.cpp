#include "apps/simulator/true_lidar.hpp"

namespace wainscot::simulator {

TrueLidar draw_lidar(const Plan& plan, int faces, std::uint64_t seed) {
  const LidarSpec& spec = plan.robot.lidar;
  const Defects& defects = plan.defects;
  TrueLidar lidar;
  lidar.x_m = spec.x_m + defects.mounting_x_error_m.draw(seed, "mounting_x_error_m");
  lidar.y_m = spec.y_m + defects.mounting_y_error_m.draw(seed, "mounting_y_error_m");
  lidar.heading_rad =
      (spec.heading_deg + defects.mounting_heading_error_deg.draw(seed, "mounting_heading_error_deg")) * kDegree_rad;
  lidar.range_scale = defects.range_scale.draw(seed, "range_scale");
  lidar.turn_s = 1.0 / (spec.turns_per_s * (1.0 + defects.motor_speed_error_rel.draw(seed, "motor_speed_error_rel")));
  lidar.stamp_delay_s = defects.stamp_delay_s.draw(seed, "stamp_delay_s");
  lidar.clock_drift_rel = 1e-6 * defects.clock_drift_ppm.draw(seed, "clock_drift_ppm");
  Random bias(seed, "surface_bias_m");
  for (int i = 0; i < faces; ++i) lidar.face_bias_m.push_back(defects.surface_bias_m.draw(bias));
  return lidar;
}

}  // namespace wainscot::simulator
