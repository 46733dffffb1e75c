#include "io/log/run_reader.hpp"

#include <algorithm>
#include <set>
#include <system_error>

#include <fmt/format.h>

#include "core/angles.hpp"
#include "core/errors.hpp"
#include "core/nearest_name.hpp"
#include "io/files/csv_reader.hpp"
#include "io/log/odometry_reader.hpp"
#include "io/log/run_units.hpp"
#include "io/robot/robot_yaml.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

constexpr double kLongest_m = 1e6;            // of a run in millimetres, which run_units tells by the counts
constexpr double kLargestTurn_deg = 36000.0;  // a hundred turns

struct Columns {
  std::size_t run, surface, forward_m, left_m, turn_deg, sd_m, sd_deg, left_ticks, right_ticks, wheels;
};

Columns find_columns(const CsvReader& table) {
  const auto found = table.find_columns({"run", "surface", "forward_m", "left_m", "turn_deg"},
                                        {"sd_m", "sd_deg", "left_ticks", "right_ticks", "wheels"});
  return {found[0], found[1], found[2], found[3], found[4], found[5], found[6], found[7], found[8], found[9]};
}

bool is_empty(const CsvReader& table, std::size_t column) {
  return column == CsvReader::kAbsent || table.cells()[column].empty();
}

std::optional<double> length_m(const CsvReader& table, std::size_t column) {
  if (is_empty(table, column)) return std::nullopt;
  return table.number_within(column, kLongest_m);
}

std::optional<double> standard_uncertainty(const CsvReader& table, std::size_t column, double most, const char* unit) {
  if (is_empty(table, column)) return std::nullopt;
  const double value = table.number(column);
  if (!(value > 0.0) || value > most) {
    table.fail(column,
               fmt::format("is {}; write a standard uncertainty of more than 0 and at most {} {}", value, most, unit));
  }
  return value;
}

/// The log of one run, in the folder itself.
std::vector<WheelCounts> logged(const CsvReader& table, std::size_t column, const fs::path& folder,
                                const DriveConstants& drive) {
  const std::string name = table.name(column);
  if (fs::path(name).filename() != name || name == "runs.csv") {
    table.fail(column, fmt::format("is '{}'; write the name of a log that lies beside runs.csv", printable(name)));
  }
  std::error_code ignored;
  const fs::file_status status = fs::symlink_status(folder / name, ignored);
  if (!fs::is_regular_file(status)) {
    table.fail(column, fmt::format("is {}, which is {}; put it there, or give left_ticks and right_ticks instead",
                                   printable(name), fs::exists(status) ? "no plain file" : "not in the folder"));
  }
  FileReader file(folder / name);
  std::vector<std::string> warnings;
  const WheelLog log = read_wheels(file, drive, warnings);
  if (log.counts.size() < 2) table.fail(column, fmt::format("is {}, which has fewer than two rows", printable(name)));
  if (!log.breaks.empty()) {
    table.fail(column, fmt::format("is {}, whose counters restarted or jumped at {:.3f} s; drive the run once more",
                                   printable(name), log.counts[log.breaks.front()].time_s));
  }
  return log.counts;
}

std::vector<WheelCounts> counts(const CsvReader& table, const Columns& columns, const fs::path& folder,
                                const DriveConstants& drive) {
  const bool totals = !is_empty(table, columns.left_ticks) || !is_empty(table, columns.right_ticks);
  const bool log = !is_empty(table, columns.wheels);
  if (totals && log) table.fail(columns.wheels, "is given beside left_ticks and right_ticks; leave one of them out");
  if (log) return logged(table, columns.wheels, folder, drive);
  if (!totals) {
    table.fail(columns.run,
               "has no counts; give left_ticks and right_ticks, or the name of a log in the column wheels");
  }
  for (const std::size_t column : {columns.left_ticks, columns.right_ticks}) {
    if (column == CsvReader::kAbsent || is_empty(table, column)) {
      table.fail(column == CsvReader::kAbsent ? columns.run : column,
                 "has the total of one wheel only; give left_ticks and right_ticks");
    }
    constexpr std::int64_t kMostTicks = 1'000'000'000'000;
    const std::int64_t ticks = table.whole_number(column);
    if (ticks > kMostTicks || ticks < -kMostTicks) table.fail(column, "is more than a run can count");
  }
  return {{0.0, 0, 0}, {1.0, table.whole_number(columns.left_ticks), table.whole_number(columns.right_ticks)}};
}

CalibrationRun read_run(const CsvReader& table, const Columns& columns, const fs::path& folder,
                        const DriveConstants& drive) {
  CalibrationRun run;
  run.name = printable(table.name(columns.run));
  run.surface = printable(table.name(columns.surface));
  run.forward_m = length_m(table, columns.forward_m);
  run.left_m = length_m(table, columns.left_m);
  if (!is_empty(table, columns.turn_deg)) {
    run.turn_rad = kDegree * table.number_within(columns.turn_deg, kLargestTurn_deg);
  }
  if (!run.forward_m && !run.left_m && !run.turn_rad) {
    table.fail(columns.run, "has no measurement; fill in forward_m, left_m or turn_deg, or remove the row");
  }
  run.sd_m = standard_uncertainty(table, columns.sd_m, 0.5, "m");
  run.sd_rad = standard_uncertainty(table, columns.sd_deg, 45.0, "degrees");
  if (run.sd_rad) *run.sd_rad *= kDegree;
  run.whole_path = !is_empty(table, columns.wheels);
  run.wheels = counts(table, columns, folder, drive);
  const WheelCounts& first = run.wheels.front();
  const WheelCounts& last = run.wheels.back();
  if (first.left_ticks == last.left_ticks && first.right_ticks == last.right_ticks && !run.whole_path) {
    table.fail(columns.run, "counted no tick; correct the counts, or remove the row");
  }
  return run;
}

void check_left_out(const std::vector<std::string>& leave_out, const std::set<std::string>& names,
                    const std::string& file) {
  const std::vector<std::string> known(names.begin(), names.end());
  for (const std::string& name : leave_out) {
    if (names.count(name) > 0) continue;
    throw InputError(
        fmt::format("{}: has no run {}; did you mean {}?", file, printable(name), known.at(nearest_name(name, known))));
  }
}

}  // namespace

bool holds_runs(const fs::path& folder) {
  std::error_code ignored;
  return fs::exists(folder / "runs.csv", ignored);
}

CalibrationRuns read_runs(const fs::path& folder, const std::vector<std::string>& leave_out) {
  CalibrationRuns runs;
  std::error_code ignored;
  if (!fs::exists(folder / "robot.yaml", ignored)) {
    throw InputError(fmt::format("{}: is not there; put the robot.yaml that was in use beside runs.csv",
                                 printable((folder / "robot.yaml").string(), 300)));
  }
  runs.robot = read_robot_yaml(folder / "robot.yaml", WheelConstants::needed);
  FileReader file(folder / "runs.csv");
  CsvReader table(file, UnfinishedRow::keep, runs.warnings);
  const Columns columns = find_columns(table);
  std::set<std::string> names;
  std::vector<std::size_t> lines;
  while (table.next_row()) {
    CalibrationRun run = read_run(table, columns, folder, *runs.robot.drive);
    if (!names.insert(run.name).second) table.fail(columns.run, fmt::format("{} is there twice; rename one", run.name));
    if (std::find(leave_out.begin(), leave_out.end(), run.name) != leave_out.end()) continue;
    runs.runs.push_back(std::move(run));
    lines.push_back(file.line_number());
  }
  check_left_out(leave_out, names, file.name());
  if (runs.runs.empty()) throw InputError(fmt::format("{}: no run is left; leave fewer out", file.name()));
  for (const RunDoubt& doubt : doubted_units(runs)) {
    if (doubt.refused) file.fail_at(lines[doubt.run], doubt.what);
    runs.warnings.push_back(fmt::format("{}:{}: {}", file.name(), lines[doubt.run], doubt.what));
  }
  return runs;
}

}  // namespace wainscot
