#include "io/number_reader.hpp"

#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <system_error>

#include "io/spelling.hpp"

namespace wainscot {
namespace {

constexpr std::size_t kLongestNumber = 40;

// std::from_chars knows no plus sign, but C's "%+f" writes it.
std::string_view without_plus(std::string_view text) {
  if (text.size() > 1 && text[0] == '+' && text[1] != '-' && text[1] != '+') text.remove_prefix(1);
  return text;
}

NumberFault fault_of(std::from_chars_result result, std::string_view text) {
  if (result.ec == std::errc::invalid_argument || result.ptr != text.data() + text.size()) {
    return NumberFault::not_a_number;
  }
  return result.ec == std::errc() ? NumberFault::none : NumberFault::out_of_range;
}

// Whatever `read_short_decimal` does not know: exponents, many digits, and all that is no number.
NumberFault read_any_number(std::string_view text, double& value) {
  if (text.empty()) return NumberFault::empty;
  if (text.size() > kLongestNumber) return NumberFault::overlong;
  text = without_plus(text);
  double read = 0.0;
  const NumberFault fault = fault_of(std::from_chars(text.data(), text.data() + text.size(), read), text);
  if (fault != NumberFault::none) return fault;
  if (!std::isfinite(read)) return NumberFault::not_finite;
  value = read;
  return NumberFault::none;
}

}  // namespace

NumberFault read_number(std::string_view text, double& value) {
  double read = 0.0;
  const char* const end = text.data() + text.size();
  if (read_short_decimal(text.data(), end, read) != end || text.empty()) return read_any_number(text, value);
  value = read;
  return NumberFault::none;
}

NumberFault read_whole_number(std::string_view text, std::int64_t& value) {
  if (text.empty()) return NumberFault::empty;
  if (text.size() > kLongestNumber) return NumberFault::overlong;
  text = without_plus(text);
  return fault_of(std::from_chars(text.data(), text.data() + text.size(), value), text);
}

NumberFault read_range(std::string_view text, double& value) {
  const NumberFault fault = read_number(text, value);
  if (fault == NumberFault::empty || fault == NumberFault::not_finite) {
    value = 0.0;
    return NumberFault::none;
  }
  return fault == NumberFault::none && value < 0.0 ? NumberFault::negative : fault;
}

std::string explain(NumberFault fault, std::string_view text) {
  const std::string shown = printable(text);
  switch (fault) {
    case NumberFault::empty:
      return "is empty; write a number";
    case NumberFault::not_finite:
      return fmt::format("is '{}', which is not a finite number; write a number or delete the row", shown);
    case NumberFault::out_of_range:
      return fmt::format("is '{}', which no variable can hold; write the number that was measured", shown);
    case NumberFault::overlong:
      return fmt::format("is a number of {} characters; write at most {}", text.size(), kLongestNumber);
    case NumberFault::negative:
      return fmt::format("is {}, which is negative; leave the cell empty where there was no return", shown);
    case NumberFault::not_a_number:
    case NumberFault::none:
      break;
  }
  if (text.find('\0') != std::string_view::npos) {
    return fmt::format("holds a NUL byte ('{}'), so the file is damaged; delete the row", shown);
  }
  if (text.find(',') != std::string_view::npos) {
    return fmt::format("is '{}'; write a decimal point in place of the comma", shown);
  }
  return fmt::format("is '{}', which is not a number; write a number with a decimal point, such as 1.25", shown);
}

}  // namespace wainscot
