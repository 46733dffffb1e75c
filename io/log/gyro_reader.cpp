#include "io/log/gyro_reader.hpp"

#include <fmt/format.h>

#include "io/files/csv_reader.hpp"
#include "io/number_text.hpp"

namespace wainscot {

std::vector<YawRate> read_gyro(FileReader& file, std::vector<std::string>& warnings) {
  constexpr double kLargestRate_rad_s = 100.0;  // 5,700 degrees a second, more than such sensors measure
  CsvReader table(file, UnfinishedRow::drop, warnings);
  const auto columns = table.find_columns({"time_s", "yaw_rate_rad_s"}, {});
  std::vector<YawRate> rates;
  std::size_t merged = 0;
  while (table.next_row()) {
    const double time_s = table.time(columns[0]);
    const YawRate rate{time_s, table.number_within(columns[1], kLargestRate_rad_s)};
    if (!rates.empty() && rates.back().time_s == rate.time_s) {
      rates.back() = rate;
      ++merged;
    } else {
      rates.push_back(rate);
    }
  }
  if (merged > 0) {
    warnings.push_back(
        fmt::format("{}: {} with the same time as the row after it, left out", file.name(), count_text(merged, "row")));
  }
  rates.shrink_to_fit();
  return rates;
}

}  // namespace wainscot
