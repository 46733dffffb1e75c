#include "io/log/growing_drive.hpp"

#include <algorithm>
#include <cmath>
#include <initializer_list>
#include <numbers>
#include <system_error>
#include <utility>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "io/files/shown.hpp"
#include "io/log/gyro_reader.hpp"
#include "io/log/odometry_reader.hpp"
#include "io/log/return_reader.hpp"
#include "io/log/scan_reader.hpp"

namespace wainscot {
namespace {

// Rows of odometry by which the speeds of a robot's ordinary driving are known: twenty seconds at fifty a second.
constexpr std::size_t kMotionRows = 1000;
// The time of a turn is the median of their intervals.
constexpr std::size_t kScanRows = 8;
// As many turns of single returns, whose direction and speed are found from them.
constexpr std::size_t kTurns = 4;
// Of a damaged table the first few rows say what is wrong.
constexpr std::size_t kMostFaults = 5;

/// Which of two tables is there, if any.
std::optional<GrowingTable> table_of(const std::filesystem::path& folder, const char* first, const char* second,
                                     bool& is_first) {
  std::error_code error;
  is_first = std::filesystem::exists(folder / first, error);
  const bool is_second = std::filesystem::exists(folder / second, error);
  if (is_first && is_second) {
    throw InputError(
        fmt::format("{}: {} and {} are both there, but only one may be; remove the one that should not be used",
                    shown(folder), first, second));
  }
  if (!is_first && !is_second) return std::nullopt;
  return GrowingTable(GrowingText(folder / (is_first ? first : second)));
}

/// Where the motion up to one of the new rows, which begin at `first`, is not known.
std::vector<std::size_t> breaks_from(const std::vector<std::size_t>& breaks, std::size_t first) {
  std::vector<std::size_t> result;
  for (const std::size_t at : breaks) {
    if (at >= first) result.push_back(at - first);
  }
  return result;
}

/// Nothing is known of the way from the rows before, which could not be read.
void break_at_first(std::vector<std::size_t>& breaks) {
  if (breaks.empty() || breaks.front() > 0) breaks.insert(breaks.begin(), 0);
}

template <typename Row>
std::vector<double> times_of(const std::vector<Row>& rows) {
  std::vector<double> times_s;
  for (const Row& row : rows) times_s.push_back(row.time_s);
  return times_s;
}

}  // namespace

GrowingDrive::GrowingDrive(std::filesystem::path folder, Robot robot)
    : folder_(std::move(folder)), robot_(std::move(robot)) {}

GrowingDrive::GrowingDrive(std::map<std::string, GrowingText>&& tables, Robot robot) : robot_(std::move(robot)) {
  for (auto& [name, text] : tables) {
    Followed& followed = name == "gyro.csv" ? gyro_ : name == "scans.csv" || name == "returns.csv" ? lidar_ : motion_;
    followed.table.emplace(std::move(text));
  }
  has_wheels_ = tables.count("wheels.csv") > 0;
  has_scans_ = tables.count("scans.csv") > 0;
}

NewReadings GrowingDrive::read() { return read(false); }

NewReadings GrowingDrive::finish() { return read(true); }

NewReadings GrowingDrive::read(bool at_end) {
  NewReadings readings;
  open_tables();
  // The motion last: then a scan's has probably come with it.
  read_scans(readings, at_end);
  read_gyro(readings);
  if (has_wheels_) {
    read_wheels(readings);
  } else {
    read_poses(readings);
  }
  drop_what_is_of_before(readings);
  return readings;
}

void GrowingDrive::open_tables() {
  if (folder_.empty()) return;
  if (!motion_.table) motion_.table = table_of(folder_, "wheels.csv", "odometry.csv", has_wheels_);
  if (!lidar_.table) lidar_.table = table_of(folder_, "scans.csv", "returns.csv", has_scans_);
  if (!gyro_.table) gyro_.table.emplace(GrowingText(folder_ / "gyro.csv"));
}

void GrowingDrive::begin_anew(Followed& followed, NewReadings& readings) const {
  // The first of the tables says it: the others' follow, and what has come of the first since then is of now.
  const std::size_t before = std::max({motion_.begins, lidar_.begins, gyro_.begins});
  if (++followed.begins > before) readings.begun_anew = true;
  followed.last_s.reset();
  readings.warnings.push_back(
      fmt::format("{}: begins anew, and what was recorded before has nothing to do with what follows; the other tables "
                  "are read on from where they begin anew, too",
                  followed.table->name()));
}

bool GrowingDrive::has_news(Followed& followed, NewReadings& readings) const {
  if (!followed.table) return false;
  followed.lost_rows = std::exchange(followed.is_cut, false) || followed.lost_rows;
  const GrowingText::News news = followed.table->read();
  if (news == GrowingText::News::replaced) begin_anew(followed, readings);
  return news == GrowingText::News::lines;
}

/// What a reader makes of the table's last rows, up to one that it cannot read; nothing where that is the first.
template <typename Read>
auto GrowingDrive::rows_of(Followed& followed, NewReadings& readings, Read read) const {
  std::vector<std::string> said_by_build;  // once, of the whole table; here it would be said with each row
  std::optional<decltype(read(std::declval<FileReader&>(), said_by_build))> rows;
  while (!rows && followed.table->has_rows()) {
    FileReader file = followed.table->rows();
    try {
      rows = read(file, said_by_build);
      followed.was_read = true;
    } catch (const InputError& error) {
      if (!followed.table->has_row_on(file.line_number())) throw;
      followed.table->cut_at(file.line_number());
      followed.is_cut = true;
      if (!followed.was_read && !followed.table->has_rows()) throw;
      if (followed.faults < kMostFaults) readings.warnings.emplace_back(error.what());
      ++followed.faults;
    }
  }
  return rows;
}

/// The first of the rows that was not given out before.
template <typename Row>
std::size_t GrowingDrive::first_new(Followed& followed, const std::vector<Row>& rows, NewReadings& readings) const {
  const bool goes_back = followed.lost_rows && followed.last_s && rows.front().time_s <= *followed.last_s;
  if (goes_back) begin_anew(followed, readings);
  followed.lost_rows = false;
  followed.is_beginning = !followed.last_s;
  if (followed.is_beginning) followed.first_s = rows.front().time_s;
  const auto first = std::find_if(rows.begin(), rows.end(), [&followed](const Row& row) {
    return !followed.last_s || row.time_s > *followed.last_s;
  });
  if (first != rows.end()) followed.last_s = rows.back().time_s;
  return static_cast<std::size_t>(first - rows.begin());
}

/// Those of `readings` that the log itself shows. `times_s`: of the new rows.
void GrowingDrive::tell_breaks(Followed& followed, const std::vector<double>& times_s, const char* what,
                               NewReadings& readings) const {
  for (const std::size_t at : readings.breaks) {
    if (++followed.faults > kMostFaults) return;
    readings.warnings.push_back(fmt::format("{}: {} at {:.1f} s; how the robot moved there is left to the scans",
                                            followed.table->name(), what, times_s[at]));
  }
}

void GrowingDrive::read_wheels(NewReadings& readings) {
  if (!has_news(motion_, readings)) return;
  auto log = rows_of(motion_, readings, [this](FileReader& file, std::vector<std::string>& warnings) {
    return wainscot::read_wheels(file, robot_.drive.value_or(DriveConstants()), warnings);
  });
  if (!log) return;
  std::vector<WheelCounts>& rows = log->counts;
  const std::size_t first = first_new(motion_, rows, readings);
  if (motion_.is_beginning) last_counts_ = counts_before_ = std::nullopt;
  if (first == rows.size()) return;
  // Counts go on from a row that was given out and is among these, if one is.
  const auto row_at = [&rows](const std::optional<WheelCounts>& given) {
    return std::find_if(rows.begin(), rows.end(),
                        [&given](const WheelCounts& row) { return given && row.time_s == given->time_s; });
  };
  bool goes_on = !last_counts_;
  WheelCounts from = last_counts_.value_or(rows[first]);
  WheelCounts in_log = rows[first];
  for (const std::optional<WheelCounts>& given : {last_counts_, counts_before_}) {
    const auto row = row_at(given);
    if (row == rows.end()) continue;
    goes_on = true;
    from = *given;
    in_log = *row;
  }
  for (std::size_t i = first; i < rows.size(); ++i) {
    readings.wheels.push_back({rows[i].time_s, from.left_ticks + rows[i].left_ticks - in_log.left_ticks,
                               from.right_ticks + rows[i].right_ticks - in_log.right_ticks});
    counts_before_ = std::exchange(last_counts_, readings.wheels.back());
  }
  readings.breaks = breaks_from(log->breaks, first);
  tell_breaks(motion_, times_of(readings.wheels), "the counters restarted or jumped", readings);
  if (!goes_on) break_at_first(readings.breaks);
  motion_.table->keep_last(kMotionRows);
}

void GrowingDrive::read_poses(NewReadings& readings) {
  if (!has_news(motion_, readings)) return;
  auto log = rows_of(motion_, readings, [this](FileReader& file, std::vector<std::string>& warnings) {
    return read_odometry(file, robot_.odometry, warnings);
  });
  if (!log) return;
  const bool follows = log->poses.front().time_s <= motion_.last_s.value_or(log->poses.front().time_s);
  const std::size_t first = first_new(motion_, log->poses, readings);
  if (first == log->poses.size()) return;
  if (motion_.is_beginning) last_heading_rad_.reset();
  readings.odometry.assign(log->poses.begin() + static_cast<std::ptrdiff_t>(first), log->poses.end());
  // Each reading unwraps its headings from the first of its rows.
  constexpr double kTurn = 2.0 * std::numbers::pi;
  const double heading = readings.odometry.front().pose.heading_rad;
  const double turns = std::round((last_heading_rad_.value_or(heading) - heading) / kTurn);
  for (TimedPose& row : readings.odometry) row.pose.heading_rad += turns * kTurn;
  last_heading_rad_ = readings.odometry.back().pose.heading_rad;
  readings.breaks = breaks_from(log->breaks, first);
  tell_breaks(motion_, times_of(readings.odometry), "the odometry jumped", readings);
  if (!follows) break_at_first(readings.breaks);
  motion_.table->keep_last(kMotionRows);
}

void GrowingDrive::read_scans(NewReadings& readings, bool at_end) {
  const bool has_come = has_news(lidar_, readings);
  if (!has_come && !(at_end && lidar_.table && lidar_.table->has_rows())) return;
  // A clock's rate counts from the log's first scan, which may be forgotten: it is applied here.
  LidarConstants constants = robot_.lidar;
  const double rate = std::exchange(constants.clock_rate, 1.0);
  std::vector<std::size_t> begins;  // lines of returns.csv
  auto scans = rows_of(lidar_, readings, [&](FileReader& file, std::vector<std::string>& warnings) {
    return has_scans_ ? wainscot::read_scans(file, constants, warnings)
                      : read_returns(file, constants, warnings, &begins);
  });
  if (!scans) return;
  // The last turn may not be whole, or nothing tells yet how long it took.
  const bool is_whole = has_scans_ && (scans->size() > 1 || constants.sweep_s);
  if (!is_whole && !at_end) scans->pop_back();
  if (scans->empty()) return;
  const std::size_t first = first_new(lidar_, *scans, readings);
  for (std::size_t i = first; i < scans->size(); ++i) {
    Scan& scan = readings.scans.emplace_back(std::move((*scans)[i]));
    scan.time_s = lidar_.first_s + rate * (scan.time_s - lidar_.first_s);
    for (Return& beam : scan.returns) beam.time_offset_s = static_cast<float>(rate * beam.time_offset_s);
  }
  if (has_scans_) {
    lidar_.table->keep_last(kScanRows);
  } else if (begins.size() > 2 * kTurns) {
    lidar_.table->keep_from(begins[begins.size() - kTurns]);  // angles that count on are cut from their first on
  }
}

void GrowingDrive::read_gyro(NewReadings& readings) {
  if (!has_news(gyro_, readings)) return;
  const auto rates = rows_of(gyro_, readings, [this](FileReader& file, std::vector<std::string>& warnings) {
    return wainscot::read_gyro(file, robot_.gyro.scale, warnings);
  });
  if (!rates) return;
  const std::size_t first = first_new(gyro_, *rates, readings);
  readings.gyro.assign(rates->begin() + static_cast<std::ptrdiff_t>(first), rates->end());
  gyro_.table->keep_last(1);
}

/// Where one table has begun anew, the others' rows are of before until they have, too; one that has not begun at all
/// has no before.
void GrowingDrive::drop_what_is_of_before(NewReadings& readings) {
  const std::size_t now = std::max({motion_.begins, lidar_.begins, gyro_.begins});
  if (motion_.begins < now) {
    readings.wheels.clear();
    readings.odometry.clear();
    readings.breaks.clear();
  }
  if (lidar_.begins < now) readings.scans.clear();
  if (gyro_.begins < now) readings.gyro.clear();
  for (Followed* table : {&motion_, &lidar_, &gyro_}) {
    if (!table->was_begun) table->begins = now;
    table->was_begun = table->last_s.has_value();
  }
}

}  // namespace wainscot
