#include "io/convert/log_units.hpp"

#include <algorithm>

#include "core/angles.hpp"

namespace wainscot {

const std::vector<LogUnit>& log_units() {
  static const std::vector<LogUnit> units = {
      {"s", UnitKind::time, 1.0},         {"ms", UnitKind::time, 1e-3},          {"us", UnitKind::time, 1e-6},
      {"ns", UnitKind::time, 1e-9},       {"m", UnitKind::length, 1.0},          {"cm", UnitKind::length, 1e-2},
      {"mm", UnitKind::length, 1e-3},     {"rad", UnitKind::angle, 1.0},         {"deg", UnitKind::angle, kDegree},
      {"rad/s", UnitKind::yaw_rate, 1.0}, {"deg/s", UnitKind::yaw_rate, kDegree}};
  return units;
}

const LogUnit* find_log_unit(std::string_view name) {
  const std::vector<LogUnit>& units = log_units();
  const auto found =
      std::find_if(units.begin(), units.end(), [name](const LogUnit& unit) { return unit.name == name; });
  return found == units.end() ? nullptr : &*found;
}

std::string unit_choice(UnitKind kind) {
  std::vector<std::string> names;
  for (const LogUnit& unit : log_units()) {
    if (unit.kind == kind) names.push_back(unit.name);
  }
  std::string text = names.front();
  for (std::size_t i = 1; i < names.size(); ++i) text += (i + 1 < names.size() ? ", " : " or ") + names[i];
  return text;
}

}  // namespace wainscot
