#include "graph/check/found_readings.hpp"

#include <utility>
#include <vector>

#include "core/pose2.hpp"
#include "graph/motion/found_robot.hpp"

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

}  // namespace wainscot
