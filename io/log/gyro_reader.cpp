#include "io/log/gyro_reader.hpp"

#include <cmath>

#include <fmt/format.h>

#include "io/files/csv_reader.hpp"
#include "io/number_text.hpp"

namespace wainscot {

std::vector<YawRate> read_gyro(FileReader& file, double scale, std::vector<std::string>& warnings) {
  constexpr double kLargestRate_rad_s = 100.0;  // 5,700 degrees a second, more than such sensors measure
  constexpr double kLargestCount = 32768.0;     // what a sensor of 16 bits says in a unit of its own
  CsvReader table(file, UnfinishedRow::drop, warnings);
  const auto columns = table.find_columns({"time_s", "yaw_rate_rad_s"}, {});
  std::vector<YawRate> rates;
  std::size_t merged = 0;
  std::size_t beyond = 0;
  while (table.next_row()) {
    const double time_s = table.time(columns[0]);
    const YawRate rate{time_s, table.number_within(columns[1], kLargestCount)};
    if (std::abs(scale * rate.yaw_rate_rad_s) > kLargestRate_rad_s) ++beyond;
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
  if (beyond > 0) {
    warnings.push_back(fmt::format(
        "{}: {} beyond {:.0f} rad/s, and no robot turns like that; if the log is in degrees a second, write "
        "scale: 0.0174533 into robot.yaml, under gyro",
        file.name(), count_text(beyond, "rate"), kLargestRate_rad_s));
  }
  rates.shrink_to_fit();
  return rates;
}

}  // namespace wainscot
