#include "graph/check/time_unit.hpp"

#include <cmath>
#include <utility>
#include <vector>

#include "core/median.hpp"
#include "graph/sentence.hpp"

namespace wainscot {
namespace {

template <typename Row>
double median_step_s(const std::vector<Row>& rows) {
  std::vector<double> steps;
  for (std::size_t i = 1; i < rows.size(); ++i) steps.push_back(rows[i].time_s - rows[i - 1].time_s);
  return median(std::move(steps));
}

template <typename Row>
double span_s(const std::vector<Row>& rows) {
  return rows.empty() ? 0.0 : rows.back().time_s - rows.front().time_s;
}

/// "milliseconds" where a time is a thousand times as long as another, give or take a part of the drive that one file
/// alone covers; "" where it is no such unit.
std::string unit_of(double ratio) {
  constexpr double kPart = 1.5;
  if (ratio > 1e3 / kPart && ratio < 1e3 * kPart) return "milliseconds";
  if (ratio > 1e6 / kPart && ratio < 1e6 * kPart) return "microseconds";
  return "";
}

}  // namespace

std::optional<std::string> wrong_time_unit(const Drive& drive) {
  const bool wheels = !drive.wheels.empty();
  const double motion_s = wheels ? span_s(drive.wheels) : span_s(drive.odometry);
  const double lidar_s = span_s(drive.scans);
  if (motion_s <= 0.0 || lidar_s <= 0.0) return std::nullopt;
  const char* motion_file = wheels ? "wheels.csv" : "odometry.csv";
  const auto of_one = [](const std::string& unit, const char* file, double longer_s, double shorter_s) {
    return sentence("the times of %s are in %s (the file covers %.0f of them, the other %.1f s); write seconds", file,
                    unit.c_str(), longer_s, shorter_s);
  };
  if (const std::string unit = unit_of(motion_s / lidar_s); !unit.empty()) {
    return of_one(unit, motion_file, motion_s, lidar_s);
  }
  if (const std::string unit = unit_of(lidar_s / motion_s); !unit.empty()) {
    return of_one(unit, "the lidar's file", lidar_s, motion_s);
  }
  // A lidar that turns 25 times a second in milliseconds, and counters that are read 500 times a second.
  constexpr double kNoScansSoSeldomS = 40.0;
  constexpr double kNoRowsSoSeldomS = 2.0;
  const double row_s = wheels ? median_step_s(drive.wheels) : median_step_s(drive.odometry);
  const double scan_s = median_step_s(drive.scans);
  if (scan_s < kNoScansSoSeldomS || row_s < kNoRowsSoSeldomS) return std::nullopt;
  return sentence(
      "the times of %s and of the lidar's file are in milliseconds or less (a scan comes every %.0f of them, a row of "
      "%s every %.0f); write seconds in both",
      motion_file, scan_s, motion_file, row_s);
}

}  // namespace wainscot
