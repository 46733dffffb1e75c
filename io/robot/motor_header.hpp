#pragma once

// The wheels' constants as a C header for the motor controller's program.

#include <string>
#include <vector>

namespace wainscot {

struct MotorConstants {
  double left_m_per_tick = 0.0;  ///< negative: this counter runs backwards
  double right_m_per_tick = 0.0;
  struct Width {
    std::string surface;
    double width_m = 0.0;
  };
  double mean_width_m = 0.0;
  std::vector<Width> widths;  ///< by surface
};

/// Ticks per millimetre of way, and per degree of a turn on the spot, as macros of plain decimal numbers: C90 and
/// later, and C++. `origin`: where the figures come from, for the comment.
std::string motor_header(const MotorConstants& constants, const std::string& origin);

}  // namespace wainscot
