#include "io/convert/log_number.hpp"

#include <charconv>
#include <chrono>
#include <cstddef>
#include <limits>
#include <optional>
#include <string>

#include "io/number_reader.hpp"

namespace wainscot {
namespace {

/// Takes pieces from the front of a text.
class FrontOfText {
 public:
  explicit FrontOfText(std::string_view text) : rest_(text) {}

  bool is_empty() const { return rest_.empty(); }

  bool take(std::string_view any_of) {
    if (rest_.empty() || any_of.find(rest_.front()) == std::string_view::npos) return false;
    rest_.remove_prefix(1);
    return true;
  }

  /// Whole digits, `fewest` to `most` of them, the number at most `largest`.
  std::optional<int> digits(std::size_t fewest, std::size_t most, int largest) {
    std::size_t count = 0;
    while (count < rest_.size() && rest_[count] >= '0' && rest_[count] <= '9') ++count;
    if (count < fewest || count > most) return std::nullopt;
    int number = 0;
    std::from_chars(rest_.data(), rest_.data() + count, number);
    rest_.remove_prefix(count);
    return number <= largest ? std::optional(number) : std::nullopt;
  }

  /// What stands behind a decimal point or comma; 0 where there is none, nullopt where no digit follows it.
  std::optional<double> fraction() {
    if (!take(".,")) return 0.0;
    double unit = 0.1, sum = 0.0;
    std::size_t count = 0;
    for (; count < rest_.size() && rest_[count] >= '0' && rest_[count] <= '9'; ++count, unit /= 10.0) {
      sum += unit * (rest_[count] - '0');
    }
    rest_.remove_prefix(count);
    return count > 0 ? std::optional(sum) : std::nullopt;
  }

 private:
  std::string_view rest_;
};

/// The days from 1970 to a date such as 2026-11-28; nullopt: the text begins with none.
std::optional<int> take_date(FrontOfText& text) {
  const std::optional<int> year = text.digits(4, 4, 9999);
  if (!year || !text.take("-/.")) return std::nullopt;
  const std::optional<int> month = text.digits(1, 2, 12);
  if (!month || !text.take("-/.")) return std::nullopt;
  const std::optional<int> day = text.digits(1, 2, 31);
  if (!day) return std::nullopt;
  const std::chrono::year_month_day date{std::chrono::year(*year), std::chrono::month(static_cast<unsigned>(*month)),
                                         std::chrono::day(static_cast<unsigned>(*day))};
  if (!date.ok()) return std::nullopt;
  return static_cast<int>(std::chrono::sys_days(date).time_since_epoch().count());
}

std::optional<double> take_time_of_day(FrontOfText& text) {
  const std::optional<int> hour = text.digits(1, 2, 23);
  if (!hour || !text.take(":")) return std::nullopt;
  const std::optional<int> minute = text.digits(2, 2, 59);
  if (!minute || !text.take(":")) return std::nullopt;
  const std::optional<int> second = text.digits(2, 2, 60);  // 60: a leap second
  if (!second) return std::nullopt;
  const std::optional<double> fraction = text.fraction();
  if (!fraction) return std::nullopt;
  return 3600.0 * *hour + 60.0 * *minute + *second + *fraction;
}

/// The seconds by which a zone's clock is ahead; 0 where none is named, nullopt where the text ends otherwise.
std::optional<double> take_zone(FrontOfText& text) {
  if (text.is_empty()) return 0.0;
  if (text.take("Zz")) return text.is_empty() ? std::optional(0.0) : std::nullopt;
  const bool behind = text.take("-");
  if (!behind && !text.take("+")) return std::nullopt;
  FrontOfText together = text;
  std::optional<int> hours = text.digits(2, 2, 14);
  std::optional<int> minutes = 0;
  if (hours) {
    if (text.take(":")) minutes = text.digits(2, 2, 59);
  } else {  // "+0130"
    const std::optional<int> both = together.digits(4, 4, 1459);
    if (!both) return std::nullopt;
    text = together;
    hours = *both / 100;
    minutes = *both % 100;
  }
  if (!minutes || !text.is_empty()) return std::nullopt;
  return (behind ? -1.0 : 1.0) * (3600.0 * *hours + 60.0 * *minutes);
}

std::string_view without_brackets(std::string_view cell) {
  return cell.size() > 2 && cell.front() == '[' && cell.back() == ']' ? cell.substr(1, cell.size() - 2) : cell;
}

std::string_view behind_name(std::string_view cell) {
  const std::string_view name = name_in_cell(cell);
  if (name.empty()) return cell;
  const std::size_t begin = cell.find_first_not_of(' ', name.size() + 1);
  return begin == std::string_view::npos ? std::string_view{} : cell.substr(begin);
}

bool read_with_comma(std::string_view text, double& value) {
  const std::size_t comma = text.find(',');
  if (comma == std::string_view::npos || text.find('.') != std::string_view::npos) return false;
  std::string with_point(text);
  with_point[comma] = '.';
  return read_number(with_point, value) == NumberFault::none;
}

}  // namespace

std::string_view name_in_cell(std::string_view cell) {
  const auto is_letter = [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_'; };
  if (cell.empty() || !is_letter(cell.front())) return {};
  const std::size_t end = cell.find_first_of("=: ");
  if (end == std::string_view::npos || cell[end] == ' ' || end + 1 == cell.size()) return {};
  return cell.substr(0, end);
}

bool read_clock_time(std::string_view text, double& seconds) {
  constexpr double kDay_s = 86400.0;
  if (text.find(':') == std::string_view::npos) return false;
  FrontOfText rest(text);
  FrontOfText behind_date = rest;
  const std::optional<int> days = take_date(behind_date);
  if (days && !behind_date.take("T ")) return false;
  if (days) rest = behind_date;
  const std::optional<double> time = take_time_of_day(rest);
  if (!time) return false;
  const std::optional<double> ahead = take_zone(rest);
  if (!ahead) return false;
  seconds = *time + (days ? *days * kDay_s - *ahead : 0.0);
  return true;
}

bool read_log_number(std::string_view cell, Separator separator, double& value) {
  NumberFault fault = read_number(cell, value);
  if (fault == NumberFault::not_a_number) {
    cell = behind_name(without_brackets(cell));
    if (cell.empty()) return false;
    fault = read_number(cell, value);
  }
  if (fault == NumberFault::none) return true;
  if (fault == NumberFault::empty || fault == NumberFault::not_finite) {
    value = std::numeric_limits<double>::quiet_NaN();
    return true;
  }
  return (separator != Separator::comma && read_with_comma(cell, value)) || read_clock_time(cell, value);
}

}  // namespace wainscot
