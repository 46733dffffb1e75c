#include "io/hint_reader.hpp"

#include <fmt/format.h>

#include "io/csv_reader.hpp"
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
    hints.push_back(hint);
  }
  return hints;
}

}  // namespace wainscot
