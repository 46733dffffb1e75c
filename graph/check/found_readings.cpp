#include "graph/check/found_readings.hpp"

#include <utility>
#include <vector>

#include "core/errors.hpp"
#include "core/pose2.hpp"
#include "graph/motion/found_robot.hpp"
#include "graph/sentence.hpp"

namespace wainscot {

void find_robot(LogReadings& readings) {
  const LeftOut& left_out = readings.drive.robot.left_out;
  if (!left_out.wheels || left_out.found) return;
  Drive found = with_found_robot(readings.drive);
  const bool turned_round = found.robot.lidar.mirrored != readings.drive.robot.lidar.mirrored;
  const double later_s = found.robot.lidar.time_offset_s - readings.drive.robot.lidar.time_offset_s;
  for (Scan& scan : readings.logged) {
    scan.time_s += later_s;
    if (!turned_round) continue;
    for (Return& beam : scan.returns) {
      beam.angle_rad = static_cast<float>(wrap_angle(-static_cast<double>(beam.angle_rad)));
    }
  }
  readings.drive = std::move(found);
}

std::string find_robot_or_why(LogReadings& readings) {
  const Robot& robot = readings.drive.robot;
  if (!robot.left_out.wheels) return "";
  try {
    find_robot(readings);
  } catch (const PoorData& poor) {
    return sentence(
        "Guesses stand in place of the wheels' constants, so that what is said of wheels and mounting means "
        "little: %s",
        poor.what());
  }
  if (!robot.left_out.found) return "";  // no wheel counts, and that is told
  return sentence(
      "robot.yaml leaves out the wheels' constants: those that this drive shows stand in their place (left %.4g and "
      "right %.4g m a tick, track width %.3f m; the lidar at x %.3f m, y %.3f m, heading %.1f°), in the lidar's "
      "metres, so that they agree with the scans whatever they are; the robot.yaml in the map's folder holds them "
      "after wainscot "
      "build",
      robot.drive->left_m_per_tick, robot.drive->right_m_per_tick, robot.drive->track_width_m, robot.lidar.x_m,
      robot.lidar.y_m, robot.lidar.heading_deg);
}

}  // namespace wainscot
