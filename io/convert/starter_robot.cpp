#include "io/convert/starter_robot.hpp"

#include <fmt/format.h>

#include "io/convert/log_units.hpp"
#include "io/convert/motion_tables.hpp"

namespace wainscot {
namespace {

/// Whether a wheel's column says how far it rolled, so that a tick of wheels.csv is a length.
bool is_way(const Quantity& wheel) {
  const LogUnit* const unit = find_log_unit(wheel.unit);
  return unit != nullptr && unit->kind == UnitKind::length;
}

std::string wheel_lines(const WheelColumns& wheels) {
  std::string text =
      "# The wheels: uncomment all three lines with your robot's measures. Left commented, they are found from the "
      "drive\n"
      "# where that can be done.\n"
      "drive:\n";
  const bool known = is_way(wheels.left) && is_way(wheels.right);
  for (const char* side : {"left", "right"}) {
    if (known) {
      text += fmt::format("  {}_m_per_tick: {}  # the log gives metres; wheels.csv counts micrometres\n", side,
                          kTickOfUnit);
    } else {
      text += fmt::format("  # {}_m_per_tick: 8.5e-5  # circumference of the wheel / ticks of one turn\n", side);
    }
  }
  return text +
         "  # track_width_m: 0.31  # between the wheels' middles\n"
         "  # counter_bits: 32  # 16 where the counters wrap round at 65536\n";
}

}  // namespace

std::string starter_robot_yaml(const LogColumns& columns) {
  std::string text =
      "# The robot's measures; io/FORMATS.md lists every key. A line that begins with # is not read: measure, and "
      "take\n"
      "# the # away.\n"
      "wainscot_robot: 1\n";
  if (columns.wheels) text += wheel_lines(*columns.wheels);
  if (columns.gyro) text += "# gyro: {sign: 1, scale: 1.0, bias_rad_s: 0.0, sd_rad_s: 0.01}\n";
  text +=
      "lidar:\n"
      "  # x_m: 0.0  # where the lidar sits, from the middle between the wheels: forward\n"
      "  # y_m: 0.0  # and to the left\n"
      "  # heading_deg: 0.0  # where its 0 degrees points, counter-clockwise\n"
      "  # mirrored: false  # true: its angles run the other way round\n"
      "  # sweep_s: 0.18  # the time of one full turn; left out, it is taken from the scans' times\n"
      "  # min_range_m: 0.15\n"
      "  # max_range_m: 8.0\n"
      "  # noise_m: 0.015  # one standard deviation of a range\n"
      "  # time_offset_s: 0.0  # added to the lidar's times to bring them to the wheels' clock\n"
      "  # blind_deg: [[170, -170]]  # sectors that see the robot itself\n";
  return text;
}

}  // namespace wainscot
