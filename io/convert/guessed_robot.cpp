#include "io/convert/guessed_robot.hpp"

#include <fmt/format.h>

#include "io/convert/log_units.hpp"
#include "io/convert/starter_robot.hpp"

namespace wainscot {
namespace {

/// Puts a value where the starter has the key, as a comment or not.
void set_line(std::string& text, const std::string& key, const std::string& value, const std::string& remark) {
  const std::size_t at = text.find(key + ": ");
  if (at == std::string::npos) return;
  const std::size_t begin = text.rfind('\n', at) + 1;
  const std::size_t end = text.find('\n', at);
  text.replace(begin, end - begin, fmt::format("  {}: {}  # {}", key, value, remark));
}

}  // namespace

std::string guessed_robot_yaml(const ColumnGuess& guess) {
  std::string text = starter_robot_yaml(guess.columns);
  const Robot& robot = guess.robot;
  if (robot.drive && robot.drive->counter_bits != 32) {
    set_line(text, "counter_bits", fmt::format("{}", robot.drive->counter_bits),
             "the counters were seen to wrap there");
  }
  set_line(text, "max_range_m", fmt::format("{}", robot.lidar.max_range_m), "nearly all ranges of the log are nearer");
  if (!guess.robot_is_known) return text;
  if (robot.drive) {
    const char* found = "found by wheels and scans, to a few per cent: calibrate";
    const LogUnit* const unit = find_log_unit(guess.columns.wheels->left.unit);
    const bool in_metres = unit != nullptr && unit->kind == UnitKind::length;  // then the starter has the tick
    if (!in_metres) {
      set_line(text, "left_m_per_tick", fmt::format("{:.5g}", robot.drive->left_m_per_tick), found);
      set_line(text, "right_m_per_tick", fmt::format("{:.5g}", robot.drive->right_m_per_tick), found);
    }
    set_line(text, "track_width_m", fmt::format("{:.3f}", robot.drive->track_width_m), "found likewise");
  }
  const char* mounted = "found by wheels and scans; measure it";
  set_line(text, "x_m", fmt::format("{:.3f}", robot.lidar.x_m), mounted);
  set_line(text, "y_m", fmt::format("{:.3f}", robot.lidar.y_m), mounted);
  set_line(text, "heading_deg", fmt::format("{:.1f}", robot.lidar.heading_deg), mounted);
  return text;
}

}  // namespace wainscot
