#include "io/log/scan_reader.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "core/errors.hpp"
#include "core/median.hpp"
#include "io/files/csv_reader.hpp"
#include "io/log/lidar_reading.hpp"
#include "io/log/row_limits.hpp"
#include "io/number_reader.hpp"
#include "io/number_text.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

constexpr double kLargestScanAngle_deg = 720.0;

// An interval between scans that differs from the median by more than this fraction is not one turn: revolutions were
// lost, or a stamp was late. A hobby lidar's motor holds its speed to some percent.
constexpr double kPlausibleInterval = 0.2;

struct Beam {
  float angle_rad;
  float turns;  // since the first beam, of a full turn
  bool blind;
};

std::vector<double> header_angles(const CsvReader& table) {
  const std::vector<std::string>& columns = table.columns();
  if (columns.front() != "time_s") {
    table.file().fail(
        fmt::format("the first column is '{}'; the first one must be time_s", printable(columns.front())));
  }
  if (columns.size() < 2) table.file().fail("there is no column for a beam; add one a beam, headed by its angle");
  std::vector<double> angles;
  for (std::size_t i = 1; i < columns.size(); ++i) {
    double angle = 0.0;
    if (read_number(columns[i], angle) != NumberFault::none || std::abs(angle) > kLargestScanAngle_deg) {
      table.file().fail(
          fmt::format("the column '{}' is not a beam's angle in degrees; rename or remove it", printable(columns[i])));
    }
    angles.push_back(angle);
  }
  std::vector<double> sorted = angles;
  std::sort(sorted.begin(), sorted.end());
  const auto twice = std::adjacent_find(sorted.begin(), sorted.end());
  if (twice != sorted.end()) table.file().fail(fmt::format("the column {} is there twice; remove one", *twice));
  return angles;
}

// How far the lidar has turned since its first beam, in degrees, for each beam. The direction is the one that most
// neighbours follow, so that a list of angles may cross 360 or 180 and may have a wide gap.
std::vector<double> travel_deg(const std::vector<double>& angles, const CsvReader& table) {
  std::vector<double> steps;
  int forward = 0;
  for (std::size_t i = 1; i < angles.size(); ++i) {
    steps.push_back(std::remainder(angles[i] - angles[i - 1], kFullTurn_deg));
    forward += steps.back() >= 0.0 ? 1 : -1;
  }
  const double direction = forward >= 0 ? 1.0 : -1.0;
  std::vector<double> travel = {0.0};
  for (const double step : steps) {
    const double onward = direction * step;
    travel.push_back(travel.back() + (onward > 0.0 ? onward : onward + kFullTurn_deg));
  }
  if (travel.back() > kFullTurn_deg + kRoundOff_deg) {
    table.file().fail(
        "the beams' angles go round more than once; list them in the order of firing, one full turn at most");
  }
  return travel;
}

std::vector<Beam> read_beams(const CsvReader& table, const LidarReading& reading, std::vector<std::string>& warnings) {
  const std::vector<double> angles = header_angles(table);
  const std::vector<double> travel = travel_deg(angles, table);
  constexpr double kNarrow_deg = 7.0;  // a little more than 2 pi
  constexpr std::size_t kManyBeams = 30;
  if (angles.size() >= kManyBeams && travel.back() < kNarrow_deg) {
    warnings.push_back(
        fmt::format("{}: all beams lie within {:.1f} degrees; if the header is in radians, write "
                    "degrees",
                    table.file().name(), travel.back()));
  }
  std::vector<Beam> beams;
  for (std::size_t i = 0; i < angles.size(); ++i) {
    const double angle = reading.angle_deg(angles[i]);
    beams.push_back({return_angle_rad(angle), static_cast<float>(travel[i] / kFullTurn_deg), reading.is_blind(angle)});
  }
  return beams;
}

// The returns of one row; `time_offset_s` holds turns until the sweep's time is known.
void find_returns(const std::vector<double>& ranges, const std::vector<Beam>& beams, LidarReading& reading,
                  std::vector<Return>& returns) {
  returns.clear();
  for (std::size_t i = 0; i < beams.size(); ++i) {
    if (ranges[i] == 0.0 || beams[i].blind) continue;
    const std::optional<float> range = reading.range_m(ranges[i]);
    if (range) returns.push_back({beams[i].angle_rad, *range, beams[i].turns});
  }
}

// The time of each scan's turn from the scans' times.
std::vector<double> sweeps_from_times(const std::vector<Scan>& scans) {
  std::vector<double> intervals;
  for (std::size_t i = 1; i < scans.size(); ++i) intervals.push_back(scans[i].time_s - scans[i - 1].time_s);
  const double usual = median(intervals);
  for (double& interval : intervals) {
    if (std::abs(interval - usual) > kPlausibleInterval * usual) interval = usual;
  }
  intervals.push_back(usual);
  return intervals;
}

void set_time_offsets(std::vector<Scan>& scans, const LidarConstants& lidar) {
  std::vector<double> sweeps;
  if (!lidar.sweep_s) sweeps = sweeps_from_times(scans);
  for (std::size_t i = 0; i < scans.size(); ++i) {
    const double sweep_s = lidar.sweep_s ? *lidar.sweep_s * lidar.clock_rate : sweeps[i];
    for (Return& beam : scans[i].returns) {
      beam.time_offset_s = static_cast<float>(static_cast<double>(beam.time_offset_s) * sweep_s);
    }
  }
}

}  // namespace

std::vector<Scan> read_scans(FileReader& file, const LidarConstants& lidar, std::vector<std::string>& warnings) {
  CsvReader table(file, UnfinishedRow::drop, warnings);
  LidarReading reading(lidar);
  const std::vector<Beam> beams = read_beams(table, reading, warnings);
  std::vector<Scan> scans;
  std::vector<Return> returns;
  std::size_t doubled = 0;
  std::vector<double> ranges;
  while (table.next_row_of_ranges(ranges)) {
    const double time_s = reading.wheel_time_s(table.time(0));
    find_returns(ranges, beams, reading, returns);
    if (!scans.empty() && time_s == scans.back().time_s) {
      ++doubled;  // the lidar cannot have begun two turns at one moment
      continue;
    }
    scans.push_back({time_s, std::vector<Return>(returns.begin(), returns.end())});
  }
  if (doubled > 0) {
    warnings.push_back(
        fmt::format("{}: {} with the same time as the one before, left out", file.name(), count_text(doubled, "scan")));
  }
  reading.warn_of_odd_ranges(file.name(), warnings);
  set_time_offsets(scans, lidar);
  return scans;
}

}  // namespace wainscot
