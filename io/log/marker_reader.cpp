#include "io/log/marker_reader.hpp"

#include <fmt/format.h>

#include <set>

#include "io/files/csv_reader.hpp"
#include "io/log/row_limits.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

constexpr double kFarthestSighting_m = 100.0;

// The heading of a marker: the column may be left out, and a cell of it may be empty.
std::optional<double> heading(const CsvReader& table, std::size_t column) {
  if (column == CsvReader::kAbsent || table.cells()[column].empty()) return std::nullopt;
  return table.number_within(column, kLargestHeading_rad);
}

}  // namespace

std::vector<MarkerSighting> read_markers(FileReader& file, std::vector<std::string>& warnings) {
  CsvReader table(file, UnfinishedRow::drop, warnings);
  const auto columns = table.find_columns({"time_s", "marker", "x_m", "y_m"}, {"heading_rad"});
  std::vector<MarkerSighting> markers;
  while (table.next_row()) {
    MarkerSighting sighting;
    sighting.time_s = table.time(columns[0]);
    sighting.marker = table.name(columns[1]);
    sighting.x_m = table.number_within(columns[2], kFarthestSighting_m);
    sighting.y_m = table.number_within(columns[3], kFarthestSighting_m);
    sighting.heading_rad = heading(table, columns[4]);
    markers.push_back(std::move(sighting));
  }
  return markers;
}

std::vector<SurveyedMarker> read_marker_map(FileReader& file, std::vector<std::string>& warnings) {
  CsvReader table(file, UnfinishedRow::keep, warnings);
  const auto columns = table.find_columns({"marker", "x_m", "y_m"}, {"heading_rad"});
  std::vector<SurveyedMarker> markers;
  std::set<std::string> names;
  while (table.next_row()) {
    SurveyedMarker marker;
    marker.marker = table.name(columns[0]);
    if (!names.insert(marker.marker).second) {
      table.fail(columns[0], fmt::format("'{}' is there twice; remove one", printable(marker.marker)));
    }
    marker.x_m = table.number_within(columns[1], kLargestPosition_m);
    marker.y_m = table.number_within(columns[2], kLargestPosition_m);
    marker.heading_rad = heading(table, columns[3]);
    markers.push_back(std::move(marker));
  }
  return markers;
}

}  // namespace wainscot
