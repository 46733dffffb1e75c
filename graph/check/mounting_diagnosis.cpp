#include "graph/check/mounting_diagnosis.hpp"

#include <cmath>

#include "core/angles.hpp"

namespace wainscot {

Diagnosis mounting_diagnosis(const Explanation& best, const RobotFit& fit, const Robot& robot) {
  Diagnosis diagnosis{robot, {}, {}, {}};
  LidarConstants& lidar = diagnosis.mended.lidar;
  const Pose2& m = best.mounting;
  const double sd_deg = kDegreesPerRadian * std::sqrt(fit.mounting_covariance(2, 2));
  const double sd_x = std::sqrt(fit.mounting_covariance(0, 0));
  const double sd_y = std::sqrt(fit.mounting_covariance(1, 1));
  diagnosis.constants.push_back({"lidar.x_m", "m", lidar.x_m, m.x_m, sd_x});
  diagnosis.constants.push_back({"lidar.y_m", "m", lidar.y_m, m.y_m, sd_y});
  const double heading_deg = lidar.heading_deg + kDegreesPerRadian * best.turned_rad;
  diagnosis.constants.push_back({"lidar.heading_deg", "°", lidar.heading_deg, heading_deg, sd_deg});
  if (best.turned) {
    lidar.heading_deg = kDegreesPerRadian * m.heading_rad;
    diagnosis.add(
        Fault::lidar_turned,
        sentence("the lidar is turned by %.1f° from where robot.yaml has it", kDegreesPerRadian * best.turned_rad),
        sentence("heading %.1f°, standard uncertainty %.2f°, by the direction in which the robot drives",
                 lidar.heading_deg, sd_deg),
        confidence_of(std::pow(best.turned_rad / best.turned_sd_rad, 2), 1), {"lidar.heading_deg"});
  }
  if (best.displaced) {
    lidar.x_m = m.x_m;
    lidar.y_m = m.y_m;
    diagnosis.add(
        Fault::lidar_displaced, sentence("the lidar sits %.0f mm from where robot.yaml has it", 1e3 * best.displaced_m),
        sentence("found at x %.3f m, y %.3f m, standard uncertainties %.3f m and %.3f m, by how it moves in turns",
                 m.x_m, m.y_m, sd_x, sd_y),
        confidence_of(best.displaced_chi_squared, 2), {"lidar.x_m", "lidar.y_m"});
  }
  return diagnosis;
}

}  // namespace wainscot
