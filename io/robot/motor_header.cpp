#include "io/robot/motor_header.hpp"

#include <cctype>
#include <cmath>
#include <iterator>
#include <numbers>
#include <set>

#include <fmt/format.h>

namespace wainscot {
namespace {

/// A surface's name as a part of a macro's: capitals, digits and underscores, each once.
std::string macro_part(const std::string& surface, std::set<std::string>& used) {
  std::string part;
  for (const char c : surface) {
    const auto letter = static_cast<unsigned char>(c);
    part += letter < 128 && std::isalnum(letter) != 0 ? static_cast<char>(std::toupper(letter)) : '_';
  }
  std::string unique = part;
  for (int i = 2; !used.insert(unique).second; ++i) unique = fmt::format("{}_{}", part, i);
  return unique;
}

/// Text for a C comment, which must not end early.
std::string comment_text(const std::string& text) {
  std::string safe;
  for (const char c : text) {
    if (c == '/' && !safe.empty() && safe.back() == '*') safe += ' ';
    safe += c == '\n' ? ' ' : c;
  }
  return safe;
}

void add_turn(std::string& text, const MotorConstants& constants, double width_m, const std::string& suffix) {
  const double arc_m = 0.5 * width_m * std::numbers::pi / 180.0;  // of each wheel, for a degree
  fmt::format_to(std::back_inserter(text),
                 "#define LEFT_TICKS_PER_DEGREE{0} ({1:.6f})\n#define RIGHT_TICKS_PER_DEGREE{0} ({2:.6f})\n", suffix,
                 -arc_m / constants.left_m_per_tick, arc_m / constants.right_m_per_tick);
}

}  // namespace

std::string motor_header(const MotorConstants& constants, const std::string& origin) {
  std::string text = fmt::format(
      "/* The wheels' constants, made by wainscot calibrate.\n"
      " * {}\n"
      " * Check the wheels' direction and the stop switch with the wheels lifted before the first drive; then drive\n"
      " * slowly, a hand at the switch. */\n"
      "#ifndef WHEEL_CONSTANTS_H\n"
      "#define WHEEL_CONSTANTS_H\n\n"
      "/* Ticks for a millimetre forward. */\n"
      "#define LEFT_TICKS_PER_MM ({:.6f})\n"
      "#define RIGHT_TICKS_PER_MM ({:.6f})\n\n"
      "/* Ticks for a turn on the spot by one degree to the left (counter-clockwise). */\n",
      comment_text(origin), 0.001 / constants.left_m_per_tick, 0.001 / constants.right_m_per_tick);
  add_turn(text, constants, constants.mean_width_m, "");
  std::set<std::string> used;
  for (const MotorConstants::Width& width : constants.widths) {
    fmt::format_to(std::back_inserter(text), "/* on {}: */\n", comment_text(width.surface));
    add_turn(text, constants, width.width_m, "_" + macro_part(width.surface, used));
  }
  return text + "\n#endif\n";
}

}  // namespace wainscot
