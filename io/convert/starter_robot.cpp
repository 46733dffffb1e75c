#include "io/convert/starter_robot.hpp"

#include <cstddef>
#include <stdexcept>

#include <fmt/format.h>

#include "io/convert/log_units.hpp"
#include "io/convert/motion_tables.hpp"
#include "io/robot/files.hpp"

namespace wainscot {
namespace {

/// Whether a wheel's column says how far it rolled, so that a tick of wheels.csv is a length.
bool is_way(const Quantity& wheel) {
  const LogUnit* const unit = find_log_unit(wheel.unit);
  return unit != nullptr && unit->kind == UnitKind::length;
}

}  // namespace

void set_starter_key(std::string& text, std::string_view key, std::string_view value, std::string_view why,
                     StarterKey state) {
  const std::size_t begin = text.find(fmt::format("\n  #{}: ", key));
  if (begin == std::string::npos) throw std::logic_error(fmt::format("the starter of robot.yaml lacks {}", key));
  const std::size_t end = text.find('\n', begin + 1);
  const std::string line = fmt::format("{}{}: {}", state == StarterKey::used ? "" : "#", key, value);
  text.replace(begin + 1, end - begin - 1, fmt::format("  {:<30} # {}", line, why));
}

std::string starter_robot_yaml(const LogColumns& columns) {
  std::string text(starter_yaml());
  if (!columns.wheels || !is_way(columns.wheels->left) || !is_way(columns.wheels->right)) return text;
  for (const char* key : {"left_m_per_tick", "right_m_per_tick"}) {
    set_starter_key(text, key, fmt::format("{}", kTickOfUnit),
                    "m: the log tells ways, a tick of wheels.csv is this much", StarterKey::behind_mark);
  }
  return text;
}

}  // namespace wainscot
