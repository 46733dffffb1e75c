#pragma once

// The words for units in columns.yaml.

#include <string>
#include <string_view>
#include <vector>

namespace wainscot {

enum class UnitKind { time, length, angle, yaw_rate };

struct LogUnit {
  std::string name;
  UnitKind kind;
  double si;  ///< one of it in s, m, rad or rad/s
};

/// All of them: s, ms, us, ns; m, cm, mm; rad, deg; rad/s, deg/s.
const std::vector<LogUnit>& log_units();

/// nullptr: there is no such unit.
const LogUnit* find_log_unit(std::string_view name);

/// "s, ms, us or ns", for messages.
std::string unit_choice(UnitKind kind);

}  // namespace wainscot
