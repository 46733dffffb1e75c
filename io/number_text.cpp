#include "io/number_text.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include <fmt/format.h>

namespace wainscot {

std::string fixed_text(double value, int decimals) {
  std::string text = fmt::format("{:.{}f}", value, decimals);
  const bool all_zero = text.find_first_of("123456789") == std::string::npos;
  if (all_zero && text.front() == '-') text.erase(0, 1);
  return text;
}

std::string short_text(double value, int decimals) {
  if (!std::isfinite(value)) return fmt::format("{}", value);
  std::string text = fixed_text(value, decimals);
  if (text.find('.') == std::string::npos) return text;
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text;
}

double rounded(double value, int decimals) {
  if (!std::isfinite(value)) return value;
  return std::strtod(fixed_text(value, decimals).c_str(), nullptr);
}

std::string length_text(double metres) {
  if (!std::isfinite(metres)) return "unknown";
  const double size = std::abs(metres);
  if (size < 0.00995) return fixed_text(1000.0 * metres, 1) + " mm";
  if (size < 0.0995) return fixed_text(1000.0 * metres, 0) + " mm";
  return fixed_text(metres, size < 9.995 ? 2 : 1) + " m";
}

std::string angle_text(double radians) {
  if (!std::isfinite(radians)) return "unknown";
  constexpr double degrees_per_radian = 57.29577951308232;
  const double degrees = degrees_per_radian * radians;
  return fixed_text(degrees, std::abs(degrees) < 9.995 ? 2 : 1) + "°";
}

std::string duration_text(double seconds) {
  if (!std::isfinite(seconds)) return "unknown";
  const long whole = std::lround(seconds);
  if (whole < 60) return fmt::format("{} s", whole);
  if (whole < 3600) return fmt::format("{} min {:02} s", whole / 60, whole % 60);
  return fmt::format("{} h {:02} min", whole / 3600, whole % 3600 / 60);
}

std::string percent_text(double fraction) {
  if (!std::isfinite(fraction)) return "unknown";
  const double percent = 100.0 * fraction;
  return fixed_text(percent, std::abs(percent) < 1.0 ? 2 : std::abs(percent) < 10.0 ? 1 : 0) + " %";
}

UncertainText uncertain_text(double value, double sd) {
  if (!std::isfinite(sd) || !(sd > 0.0)) return {short_text(value, 9), short_text(sd, 9)};
  const int decimals = std::clamp(1 - static_cast<int>(std::floor(std::log10(sd))), 0, 12);
  return {fixed_text(value, decimals), fixed_text(sd, decimals)};
}

std::string whole_text(std::size_t count) {
  const std::string digits = std::to_string(count);
  std::string text;
  for (std::size_t i = 0; i < digits.size(); ++i) {
    if (i > 0 && (digits.size() - i) % 3 == 0) text.push_back(',');
    text.push_back(digits[i]);
  }
  return text;
}

std::string count_text(std::size_t count, const std::string& noun) {
  return fmt::format("{} {}{}", whole_text(count), noun, count == 1 ? "" : "s");
}

}  // namespace wainscot
