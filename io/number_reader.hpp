#pragma once

// Numbers as text: exact, independent of the locale, and strict, since a number half understood bends a map unseen.

#include <array>
#include <cstdint>
#include <string>
#include <string_view>

namespace wainscot {

/// Why a piece of text is not a finite number.
enum class NumberFault {
  none,
  empty,
  not_finite,    ///< "nan", "inf" in any case and with any sign
  not_a_number,  ///< a word, a decimal comma, a space inside, ...
  out_of_range,  ///< too large or too small for a double, or for 64 bits
  overlong,      ///< more than 40 characters
  negative,      ///< a range below zero
};

/// The powers of ten that `read_short_decimal` divides by.
inline constexpr std::array<double, 16> kPowersOfTen = {1e0, 1e1, 1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                                        1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15};

/// Reads the short decimal without an exponent at the start of the text, such as "-1.25", which is nearly all of a log:
/// the digits and the power of ten are both exact doubles, so that one division rounds correctly (W. D. Clinger, "How
/// to read floating point numbers accurately", PLDI 1990, section 4). Returns where it ends, or nullptr where the text
/// does not begin so.
inline const char* read_short_decimal(const char* p, const char* end, double& value) {
  constexpr std::size_t kMostDigits = 15;  // 10^15 < 2^53
  const bool negative = p != end && *p == '-';
  if (negative) ++p;
  const char* const first = p;
  std::uint64_t digits = 0;
  for (; p != end && static_cast<unsigned char>(*p - '0') < 10; ++p) digits = digits * 10 + unsigned(*p - '0');
  const auto whole = static_cast<std::size_t>(p - first);
  std::size_t decimals = 0;
  if (p != end && *p == '.') {
    const char* const point = p++;
    for (; p != end && static_cast<unsigned char>(*p - '0') < 10; ++p) digits = digits * 10 + unsigned(*p - '0');
    decimals = static_cast<std::size_t>(p - point) - 1;
  }
  if (whole == 0 || whole + decimals > kMostDigits) return nullptr;
  const double magnitude = static_cast<double>(digits) / kPowersOfTen[decimals];
  value = negative ? -magnitude : magnitude;
  return p;
}

/// Reads a decimal number such as "-1.25" or "8.5e-5", correctly rounded; the whole text must be the number. `value` is
/// set where the result is `none`.
NumberFault read_number(std::string_view text, double& value);

/// Reads a whole number of at most 64 bits, with or without sign; "1.0" and "1e3" are not whole numbers here.
NumberFault read_whole_number(std::string_view text, std::int64_t& value);

/// Reads a range of a lidar's log, in the log's unit; `value` is 0 for "no return": an empty cell, "nan", "inf" or 0.
NumberFault read_range(std::string_view text, double& value);

/// For a message: what is wrong with the text and what to do, for example "'abc' is not a number; write a number with a
/// decimal point, such as 1.25".
std::string explain(NumberFault fault, std::string_view text);

}  // namespace wainscot
