#include "io/pose_table.hpp"

#include <string>

#include "io/csv_reader.hpp"
#include "io/file_reader.hpp"

namespace wainscot {
namespace {

// As in a drive's own files: what is beyond is in another unit, and no sum of squares of it may overflow.
constexpr double kLargestPosition_m = 1e8;
constexpr double kLargestHeading_rad = 1e6;

}  // namespace

std::vector<TimedPose> read_pose_table(const std::filesystem::path& path) {
  FileReader file(path);
  std::vector<std::string> warnings;
  CsvReader table(file, UnfinishedRow::keep, warnings);
  const auto columns = table.find_columns({"time_s", "x_m", "y_m", "heading_rad"}, {"drive"});
  std::vector<TimedPose> poses;
  while (table.next_row()) {
    if (columns[4] != CsvReader::kAbsent && table.whole_number(columns[4]) != 1) break;
    const double time_s = table.time(columns[0]);
    poses.push_back(
        {time_s,
         {table.number_within(columns[1], kLargestPosition_m), table.number_within(columns[2], kLargestPosition_m),
          table.number_within(columns[3], kLargestHeading_rad)}});
  }
  return poses;
}

}  // namespace wainscot
