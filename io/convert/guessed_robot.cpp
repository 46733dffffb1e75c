#include "io/convert/guessed_robot.hpp"

#include <fmt/format.h>

#include "io/convert/log_units.hpp"
#include "io/convert/motion_tables.hpp"
#include "io/convert/starter_robot.hpp"

namespace wainscot {
namespace {

void set_found(std::string& text, const char* key, const std::string& value, const char* why) {
  set_starter_key(text, key, value, why, StarterKey::used);
}

}  // namespace

std::string guessed_robot_yaml(const ColumnGuess& guess) {
  std::string text = starter_robot_yaml(guess.columns);
  const Robot& robot = guess.robot;
  if (robot.drive && robot.drive->counter_bits != 32) {
    set_found(text, "counter_bits", fmt::format("{}", robot.drive->counter_bits),
              "the counters were seen to wrap there");
  }
  set_found(text, "max_range_m", fmt::format("{}", robot.lidar.max_range_m),
            "m, nearly all ranges of the log are nearer");
  if (!guess.robot_is_known) return text;
  if (robot.drive) {
    const char* const found = "m, found by wheels and scans, to a few per cent; calibrate";
    const LogUnit* const unit = find_log_unit(guess.columns.wheels->left.unit);
    const bool is_way = unit != nullptr && unit->kind == UnitKind::length;  // then the log has the wheels' metre
    const auto tick = [is_way](double m) { return fmt::format("{:.5g}", is_way ? kTickOfUnit : m); };
    const char* const told = is_way ? "m: the log tells ways, a tick of wheels.csv is this much" : found;
    set_found(text, "left_m_per_tick", tick(robot.drive->left_m_per_tick), told);
    set_found(text, "right_m_per_tick", tick(robot.drive->right_m_per_tick), told);
    set_found(text, "track_width_m", fmt::format("{:.3f}", robot.drive->track_width_m), "m, found likewise");
  }
  const char* const mounted = "found by wheels and scans; measure it";
  set_found(text, "x_m", fmt::format("{:.3f}", robot.lidar.x_m), mounted);
  set_found(text, "y_m", fmt::format("{:.3f}", robot.lidar.y_m), mounted);
  set_found(text, "heading_deg", fmt::format("{:.1f}", robot.lidar.heading_deg), mounted);
  return text;
}

}  // namespace wainscot
