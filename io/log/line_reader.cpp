#include "io/log/line_reader.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "io/files/csv_reader.hpp"
#include "io/log/row_limits.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

constexpr double kLatestTime_s = 1e11;    // as of every time in a table
constexpr double kLeastApart_m = 0.1;     // two points nearer to each other give no direction
constexpr double kLargestLineSd_m = 0.5;  // further off, nothing follows a line
constexpr double kSmallestLineSd_m = 1e-6;

// The column may be left out, and a cell of it may be empty.
double line_sd_m(const CsvReader& table, std::size_t column) {
  if (column == CsvReader::kAbsent || table.cells()[column].empty()) return FollowedStretch().sd_m;
  const double sd_m = table.number(column);
  if (sd_m >= kSmallestLineSd_m && sd_m <= kLargestLineSd_m) return sd_m;
  table.fail(column, fmt::format("is {}; write how well the robot keeps to a line in metres, such as 0.01", sd_m));
}

}  // namespace

std::vector<FollowedStretch> read_followed(FileReader& file, std::vector<std::string>& warnings) {
  CsvReader table(file, UnfinishedRow::drop, warnings);
  const auto columns = table.find_columns({"from_s", "to_s", "line"}, {"sd_m"});
  std::vector<FollowedStretch> stretches;
  while (table.next_row()) {
    FollowedStretch stretch;
    stretch.from_s = table.number_within(columns[0], kLatestTime_s);
    stretch.to_s = table.number_within(columns[1], kLatestTime_s);
    if (stretch.to_s <= stretch.from_s) {
      table.fail(columns[1], "is not later than from_s; write when the robot left the line");
    }
    stretch.line = table.name(columns[2]);
    stretch.sd_m = line_sd_m(table, columns[3]);
    stretches.push_back(std::move(stretch));
  }
  std::stable_sort(stretches.begin(), stretches.end(),
                   [](const FollowedStretch& a, const FollowedStretch& b) { return a.from_s < b.from_s; });
  return stretches;
}

std::vector<MeasuredLine> read_line_map(FileReader& file, std::vector<std::string>& warnings) {
  CsvReader table(file, UnfinishedRow::keep, warnings);
  const auto columns = table.find_columns({"line", "x1_m", "y1_m", "x2_m", "y2_m"}, {});
  std::vector<MeasuredLine> lines;
  std::set<std::string> names;
  while (table.next_row()) {
    MeasuredLine line;
    line.line = table.name(columns[0]);
    if (!names.insert(line.line).second) {
      table.fail(columns[0], fmt::format("'{}' is there twice; remove one", printable(line.line)));
    }
    line.x1_m = table.number_within(columns[1], kLargestPosition_m);
    line.y1_m = table.number_within(columns[2], kLargestPosition_m);
    line.x2_m = table.number_within(columns[3], kLargestPosition_m);
    line.y2_m = table.number_within(columns[4], kLargestPosition_m);
    if (std::hypot(line.x2_m - line.x1_m, line.y2_m - line.y1_m) < kLeastApart_m) {
      table.fail(columns[3], "and y2_m are nearly the place of x1_m and y1_m; give two points of the line far apart");
    }
    lines.push_back(std::move(line));
  }
  return lines;
}

}  // namespace wainscot
