#include "io/files/pose_table.hpp"

#include <cstdint>
#include <string>

#include <fmt/format.h>

#include "io/files/csv_reader.hpp"
#include "io/files/file_reader.hpp"

namespace wainscot {
namespace {

// As in a drive's own files: what is beyond is in another unit, and no sum of squares of it may overflow.
constexpr double kLargestPosition_m = 1e8;
constexpr double kLargestHeading_rad = 1e6;

}  // namespace

std::vector<DrivePose> read_drive_poses(const std::filesystem::path& path) {
  FileReader file(path);
  std::vector<std::string> warnings;
  CsvReader table(file, UnfinishedRow::keep, warnings);
  const auto columns = table.find_columns({"time_s", "x_m", "y_m", "heading_rad"}, {"drive"});
  std::vector<DrivePose> rows;
  while (table.next_row()) {
    const std::int64_t drive = columns[4] == CsvReader::kAbsent ? 1 : table.whole_number(columns[4]);
    const int last = rows.empty() ? 1 : rows.back().drive;
    if (drive != last && (rows.empty() || drive != last + 1)) {
      table.fail(columns[4], fmt::format("is {} after {}; sort the drives 1, 2, 3 ...", drive, last));
    }
    if (drive != last) table.begin_times_anew();
    const double time_s = table.time(columns[0]);
    rows.push_back(
        {time_s,
         {table.number_within(columns[1], kLargestPosition_m), table.number_within(columns[2], kLargestPosition_m),
          table.number_within(columns[3], kLargestHeading_rad)},
         static_cast<int>(drive)});
  }
  return rows;
}

std::vector<TimedPose> read_pose_table(const std::filesystem::path& path) {
  std::vector<TimedPose> poses;
  for (const DrivePose& row : read_drive_poses(path)) {
    if (row.drive == 1) poses.push_back({row.time_s, row.pose});
  }
  return poses;
}

}  // namespace wainscot
