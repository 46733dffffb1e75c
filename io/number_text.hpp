#pragma once

// Numbers as text with the same bytes on every run and in every locale.

#include <cstddef>
#include <string>

namespace wainscot {

/// `value` with exactly `decimals` digits after the point and never "-0.000". Finite values only.
std::string fixed_text(double value, int decimals);

/// The same without trailing zeros: 0.05, 12, -1.85. What is not finite becomes "nan", "inf" or "-inf".
std::string short_text(double value, int decimals);

/// `value` rounded to `decimals`, for writers that print the shortest text of a double. Keeps what is not finite.
double rounded(double value, int decimals);

/// For people, with the unit: "0.8 mm", "12 mm", "1.23 m", "123.4 m". What is not finite becomes "unknown".
std::string length_text(double metres);

/// "0.07°" or "12.3°", from radians.
std::string angle_text(double radians);

/// "48 s", "5 min 12 s", "1 h 02 min".
std::string duration_text(double seconds);

/// "0.12 %" or "97 %", from a fraction.
std::string percent_text(double fraction);

/// A value and its standard uncertainty, both to the place of the uncertainty's second significant digit (JCGM
/// 100:2008, 7.2.6).
struct UncertainText {
  std::string value;
  std::string sd;
};
UncertainText uncertain_text(double value, double sd);

/// A count: "1", "12,345".
std::string whole_text(std::size_t count);

/// A count with its noun: "1 scan", "12,345 scans".
std::string count_text(std::size_t count, const std::string& noun);

}  // namespace wainscot
