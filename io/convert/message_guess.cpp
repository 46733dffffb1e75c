#include "io/convert/message_guess.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "core/median.hpp"
#include "io/convert/log_number.hpp"

namespace wainscot {
namespace {

using MessageRows = std::vector<std::vector<std::string_view>>;
using RowsByMessage = std::map<std::string_view, std::vector<std::size_t>>;

constexpr std::size_t kMostMessages = 16;  // a log tells a handful apart; more distinct values are data

constexpr std::size_t kCutShortOneIn = 50;  // lines that a serial line damaged, more than most logs have

bool is_small_whole(std::string_view text) {
  return !text.empty() && text.size() <= 3 &&
         std::all_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; });
}

/// The rows by what stands in a column; empty where that is no message.
RowsByMessage rows_by_message(const MessageRows& rows, std::size_t column, Separator separator, bool& words) {
  RowsByMessage result;
  words = true;
  std::size_t shorter = 0;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (column >= rows[i].size() && kCutShortOneIn * ++shorter <= rows.size()) continue;
    if (column >= rows[i].size() || rows[i][column].empty()) return {};
    const std::string_view text = rows[i][column];
    double value = 0.0;
    if (name_in_cell(text).empty() && read_log_number(text, separator, value)) {
      if (!is_small_whole(text)) return {};
      words = false;
    }
    result[text].push_back(i);
    if (result.size() > kMostMessages) return {};
  }
  return result;
}

/// The number of cells of nearly all rows of a message; 0: they differ. A row of ranges may be cut short now and then.
std::size_t usual_cells(const MessageRows& rows, const std::vector<std::size_t>& of) {
  std::map<std::size_t, std::size_t> counts;
  for (const std::size_t i : of) ++counts[rows[i].size()];
  const auto most =
      std::max_element(counts.begin(), counts.end(), [](const auto& a, const auto& b) { return a.second < b.second; });
  return 10 * most->second >= 9 * of.size() ? most->first : 0;
}

/// How often each cell is filled, 0..1.
std::vector<double> filled(const MessageRows& rows, const std::vector<std::size_t>& of, std::size_t cells) {
  std::vector<double> share(cells, 0.0);
  for (const std::size_t i : of) {
    for (std::size_t c = 0; c < std::min(cells, rows[i].size()); ++c) share[c] += rows[i][c].empty() ? 0.0 : 1.0;
  }
  for (double& s : share) s /= static_cast<double>(of.size());
  return share;
}

/// Where the middle 80 % of a column's numbers lie.
struct Middle {
  double low = 0.0, high = 0.0;
};

Middle middle_of(const MessageRows& rows, const std::vector<std::size_t>& of, std::size_t column, Separator separator) {
  std::vector<double> numbers;
  for (const std::size_t i : of) {
    double value = 0.0;
    if (column < rows[i].size() && read_log_number(rows[i][column], separator, value) && std::isfinite(value)) {
      numbers.push_back(value);
    }
  }
  return {quantile(numbers, 0.1), quantile(numbers, 0.9)};
}

/// Whether the rows of two messages hold different things.
bool differ(const MessageRows& rows, const std::vector<std::size_t>& a, const std::vector<std::size_t>& b,
            std::size_t column, Separator separator, bool words) {
  const std::size_t cells = usual_cells(rows, a);
  if (cells != usual_cells(rows, b)) return true;
  if (cells == 0) return false;
  const std::vector<double> filled_a = filled(rows, a, cells);
  const std::vector<double> filled_b = filled(rows, b, cells);
  for (std::size_t c = 0; words && c < cells; ++c) {
    if (std::abs(filled_a[c] - filled_b[c]) > 0.9) return true;
  }
  // In front of rows that are alike in number: sizes tell encoder counts from a yaw rate. A number there may also be a
  // state of the robot's, on which one of the others may depend.
  if (column > 1) return false;
  constexpr double kFactor = 5.0;
  constexpr std::size_t kLooksAt = 12;
  std::size_t looked = 0, different = 0;
  for (std::size_t c = 1; c < std::min(cells, kLooksAt); ++c) {
    if (c == column) continue;
    const Middle x = middle_of(rows, a, c, separator);
    const Middle y = middle_of(rows, b, c, separator);
    const double width_x = x.high - x.low, width_y = y.high - y.low;
    ++looked;
    different += width_x > kFactor * width_y || width_y > kFactor * width_x ? 1 : 0;
  }
  return words ? different > 0 : 2 * different >= looked && different > 0;
}

}  // namespace

std::optional<std::size_t> guess_message_column(const std::vector<std::vector<std::string_view>>& rows,
                                                Separator separator) {
  constexpr std::size_t kLastColumn = 8;  // what tells messages apart stands in front
  for (std::size_t column = 0; column < kLastColumn; ++column) {
    bool words = false;
    const RowsByMessage messages = rows_by_message(rows, column, separator, words);
    if (messages.size() < 2) continue;
    std::size_t pairs = 0, different = 0;
    bool steady = true, often = true;
    for (auto a = messages.begin(); a != messages.end(); ++a) {
      steady = steady && usual_cells(rows, a->second) > 0;
      often = often && 200 * a->second.size() >= rows.size();
      for (auto b = std::next(a); b != messages.end(); ++b) {
        ++pairs;
        different += differ(rows, a->second, b->second, column, separator, words) ? 1 : 0;
      }
    }
    // Small numbers may be data, such as counts from row to row: as messages each comes often and differs from all
    // others.
    if (words ? different > 0 : steady && often && different == pairs) return column;
  }
  return std::nullopt;
}

}  // namespace wainscot
