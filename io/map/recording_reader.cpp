#include "io/map/recording_reader.hpp"

#include <algorithm>
#include <array>
#include <cstdint>
#include <stdexcept>
#include <string>
#include <utility>

#include "core/errors.hpp"
#include "io/map/database_file.hpp"
#include "io/map/row_reader.hpp"
#include "io/robot/robot_yaml.hpp"

namespace wainscot {
namespace {

/// Up to here doubles, in which counts are used, hold each whole number, and no difference of two overflows.
constexpr std::int64_t kMostTicks = INT64_C(1) << 53;

std::int64_t ticks(RowReader& row) {
  const std::int64_t count = row.whole();
  if (count < -kMostTicks || count > kMostTicks) throw std::out_of_range("a wheel's count is beyond 2^53");
  return count;
}

/// Rows are searched by time.
template <typename Row>
void require_sorted(const std::vector<Row>& rows, const char* table) {
  const auto earlier = [](const Row& a, const Row& b) { return a.time_s < b.time_s; };
  if (std::is_sorted(rows.begin(), rows.end(), earlier)) return;
  throw std::out_of_range(std::string("the times in ") + table + " go back");
}

/// Where nothing is known of the motion, there is a row before.
void add_break(std::vector<std::size_t>& breaks, std::size_t row) {
  if (row == 0) throw std::out_of_range("a drive's first row follows a break");
  breaks.push_back(row);
}

std::vector<Drive> read_drives(const SQLite::Database& database) {
  std::vector<Drive> drives;
  for (RowReader row(database, "SELECT name, checksum, robot_yaml FROM drives ORDER BY drive"); row.next();) {
    Drive drive;
    drive.name = row.text();
    drive.checksum = row.text();
    try {
      drive.robot = parse_robot_yaml(row.text(), "its robot_yaml", WheelConstants::optional);
    } catch (const InputError& fault) {
      throw std::out_of_range(fault.what());
    }
    drives.push_back(std::move(drive));
  }
  if (drives.empty()) throw std::out_of_range("the table drives is empty");
  return drives;
}

void read_motion(const SQLite::Database& database, std::vector<Drive>& drives) {
  RowReader wheels(database, "SELECT drive, time_s, left_ticks, right_ticks, follows_break FROM wheels ORDER BY rowid");
  while (wheels.next()) {
    Drive& drive = drives.at(wheels.drive(drives.size()));
    const double time_s = wheels.time_s();
    const std::int64_t left = ticks(wheels);
    const std::int64_t right = ticks(wheels);
    if (wheels.flag()) add_break(drive.breaks, drive.wheels.size());
    drive.wheels.push_back({time_s, left, right});
  }
  RowReader poses(database, "SELECT drive, time_s, x_m, y_m, heading_rad, follows_break FROM odometry ORDER BY rowid");
  while (poses.next()) {
    Drive& drive = drives.at(poses.drive(drives.size()));
    const double time_s = poses.time_s();
    const Pose2 pose = poses.pose();
    if (poses.flag()) add_break(drive.breaks, drive.odometry.size());
    drive.odometry.push_back({time_s, pose});
  }
  RowReader gyro(database, "SELECT drive, time_s, yaw_rate_rad_s FROM gyro ORDER BY rowid");
  while (gyro.next()) {
    Drive& drive = drives.at(gyro.drive(drives.size()));
    const double time_s = gyro.time_s();
    drive.gyro.push_back({time_s, gyro.heading_rad()});
  }
}

void read_markers_and_hints(const SQLite::Database& database, std::vector<Drive>& drives) {
  const auto read_place = [](RowReader& row, auto& marker) {
    marker.marker = row.text();
    marker.x_m = row.metres();
    marker.y_m = row.metres();
    marker.heading_rad = row.optional_heading_rad();
  };
  RowReader seen(database, "SELECT drive, time_s, marker, x_m, y_m, heading_rad FROM marker_sightings ORDER BY rowid");
  while (seen.next()) {
    MarkerSighting& sighting = drives.at(seen.drive(drives.size())).markers.emplace_back();
    sighting.time_s = seen.time_s();
    read_place(seen, sighting);
  }
  RowReader surveyed(database, "SELECT drive, marker, x_m, y_m, heading_rad FROM surveyed_markers ORDER BY rowid");
  while (surveyed.next()) read_place(surveyed, drives.at(surveyed.drive(drives.size())).marker_map.emplace_back());
  RowReader hints(database, "SELECT drive, time_1_s, time_2_s, same_place FROM hints ORDER BY rowid");
  while (hints.next()) {
    Drive& drive = drives.at(hints.drive(drives.size()));
    const double time_1_s = hints.time_s();
    const double time_2_s = hints.time_s();
    drive.hints.push_back({time_1_s, time_2_s, hints.flag()});
  }
}

/// The tables are there only where a drive followed lines.
void read_lines(const SQLite::Database& database, std::vector<Drive>& drives) {
  const std::array<std::string, 2> line_tables = {"followed_stretches", "measured_lines"};
  if (!database.tableExists(line_tables.front())) return;
  require_plain_tables(database, line_tables);
  RowReader row(database, "SELECT drive, from_s, to_s, line, sd_m FROM followed_stretches ORDER BY rowid");
  while (row.next()) {
    FollowedStretch& stretch = drives.at(row.drive(drives.size())).followed.emplace_back();
    stretch.from_s = row.time_s();
    stretch.to_s = row.time_s();
    if (stretch.to_s <= stretch.from_s) throw std::out_of_range("a line was followed until before it was begun");
    stretch.line = row.text();
    constexpr double kSmallestM = 1e-6;  // as in followed.csv
    constexpr double kLargestM = 0.5;
    stretch.sd_m = row.number_within(kSmallestM, kLargestM);
  }
  RowReader measured(database, "SELECT drive, line, x1_m, y1_m, x2_m, y2_m FROM measured_lines ORDER BY rowid");
  while (measured.next()) {
    MeasuredLine& line = drives.at(measured.drive(drives.size())).line_map.emplace_back();
    line.line = measured.text();
    for (double* metres : {&line.x1_m, &line.y1_m, &line.x2_m, &line.y2_m}) *metres = measured.metres();
  }
}

}  // namespace

std::vector<Drive> read_recordings(const SQLite::Database& database) {
  std::vector<Drive> drives = read_drives(database);
  read_motion(database, drives);
  read_markers_and_hints(database, drives);
  read_lines(database, drives);
  for (const Drive& drive : drives) {
    require_sorted(drive.wheels, "wheels");
    require_sorted(drive.odometry, "odometry");
    require_sorted(drive.gyro, "gyro");
    require_sorted(drive.markers, "marker_sightings");
  }
  return drives;
}

}  // namespace wainscot
