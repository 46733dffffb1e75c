#include "io/log/hint_reader.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "io/files/csv_reader.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

double hint_time(const CsvReader& table, std::size_t column, double first_s, double last_s) {
  constexpr double kTolerance_s = 1.0;  // people round
  const double time_s = table.number(column);
  if (time_s < first_s - kTolerance_s || time_s > last_s + kTolerance_s) {
    table.fail(column, fmt::format("is {}, but the scans' times go from {:.3f} to {:.3f} s; correct it", time_s,
                                   first_s, last_s));
  }
  return time_s;
}

/// Whether one of `hints` answers otherwise about the same two moments.
bool is_contradicted(const Hint& hint, const std::vector<Hint>& hints) {
  constexpr double kSameMoment_s = 0.05;
  const auto near = [](double a_s, double b_s) { return std::abs(a_s - b_s) < kSameMoment_s; };
  return std::any_of(hints.begin(), hints.end(), [&](const Hint& other) {
    const bool same = (near(hint.time_1_s, other.time_1_s) && near(hint.time_2_s, other.time_2_s)) ||
                      (near(hint.time_1_s, other.time_2_s) && near(hint.time_2_s, other.time_1_s));
    return same && other.same_place != hint.same_place;
  });
}

}  // namespace

std::vector<Hint> read_hints(FileReader& file, double first_s, double last_s, std::vector<std::string>& warnings) {
  CsvReader table(file, UnfinishedRow::keep, warnings);
  const auto columns = table.find_columns({"time_1_s", "time_2_s", "same_place"}, {});
  std::vector<Hint> hints;
  while (table.next_row()) {
    Hint hint;
    hint.time_1_s = hint_time(table, columns[0], first_s, last_s);
    hint.time_2_s = hint_time(table, columns[1], first_s, last_s);
    if (hint.time_1_s == hint.time_2_s) table.fail(columns[1], "is the same as time_1_s; give two different times");
    const std::string_view answer = table.cells()[columns[2]];
    if (answer != "yes" && answer != "no") {
      table.fail(columns[2], fmt::format("is '{}'; write yes or no", printable(answer)));
    }
    hint.same_place = answer == "yes";
    if (is_contradicted(hint, hints)) {
      table.fail(columns[2], fmt::format("says {} of two moments of which an earlier row says {}; correct one of them",
                                         answer, hint.same_place ? "no" : "yes"));
    }
    hints.push_back(hint);
  }
  return hints;
}

}  // namespace wainscot
