#include "graph/check/time_units.hpp"

#include <cmath>
#include <string>
#include <utility>

#include "core/median.hpp"

namespace wainscot {
namespace {

/// How a table counts time.
struct Times {
  double interval = 0.0;  // median, from one row to the next
  double span = 0.0;
  bool empty() const { return span <= 0.0; }
};

template <typename Row>
Times times_of(const std::vector<Row>& rows) {
  std::vector<double> intervals;
  for (std::size_t i = 1; i < rows.size(); ++i) intervals.push_back(rows[i].time_s - rows[i - 1].time_s);
  if (intervals.empty()) return {};
  return {median(std::move(intervals)), rows.back().time_s - rows.front().time_s};
}

Times motion_times(const Drive& drive) {
  return drive.wheels.empty() ? times_of(drive.odometry) : times_of(drive.wheels);
}

double scan_unit_s(const Times& scans) {
  constexpr double kSlowestS = 40.0;  // also a fast lidar's turn of 0.04 s, in milliseconds
  double unit = 1.0;
  while (scans.interval * unit >= kSlowestS && unit > 1e-9) unit *= 1e-3;
  return unit;
}

constexpr double kAlike = 2.0;  // one program started before the other, or ended after it

bool lasts_alike(double span_s, double other_s) { return span_s < kAlike * other_s && other_s < kAlike * span_s; }

/// The unit in which a table lasts as long as another one does in seconds: 1 where none is a thousandth or less.
double unit_by_span_s(const Times& table, double span_s) {
  constexpr double kSlowestRowsS = 2.0;  // nobody logs the motion more seldom
  if (table.interval < kSlowestRowsS) return 1.0;
  for (const double unit : {1e-3, 1e-6, 1e-9}) {
    if (lasts_alike(table.span * unit, span_s)) return unit;
  }
  return 1.0;
}

const char* unit_name(double unit_s) {
  return unit_s == 1e-3 ? "milliseconds" : unit_s == 1e-6 ? "microseconds" : "nanoseconds";
}

template <typename Row>
void scale(std::vector<Row>& rows, double unit_s) {
  if (unit_s == 1.0) return;
  for (Row& row : rows) row.time_s *= unit_s;
}

void scale_motion(Drive& drive, const TimeUnits& units) {
  scale(drive.wheels, units.motion_s);
  scale(drive.odometry, units.motion_s);
  scale(drive.gyro, units.gyro_s);
}

/// The beams' times too, unless they come from a sweep that robot.yaml states in seconds.
void scale_scans(std::vector<Scan>& scans, double unit_s) {
  if (unit_s == 1.0) return;
  scale(scans, unit_s);
  const double interval_s = times_of(scans).interval;
  constexpr double kFarTooLate = 30.0;  // turns after the first beam
  for (Scan& scan : scans) {
    if (scan.returns.empty() || static_cast<double>(scan.returns.back().time_offset_s) < kFarTooLate * interval_s) {
      continue;
    }
    for (Return& beam : scan.returns) beam.time_offset_s *= static_cast<float>(unit_s);
  }
}

}  // namespace

TimeUnits time_units(const Drive& drive) {
  const Times scans = times_of(drive.scans);
  const Times motion = motion_times(drive);
  TimeUnits units;
  if (scans.empty()) return units;
  units.scans_s = scan_unit_s(scans);
  if (!motion.empty()) {
    units.motion_s = unit_by_span_s(motion, scans.span * units.scans_s);
    if (!lasts_alike(motion.span * units.motion_s, scans.span * units.scans_s)) {
      units.scans_s = 1.0;  // a scan a minute: the other table does not say that it is less
      units.motion_s = unit_by_span_s(motion, scans.span);
    }
    // A fast lidar in milliseconds: only the other table tells.
    if (units.are_seconds() && motion.interval > 0.0 && lasts_alike(scans.span * 1e-3, motion.span)) {
      units.scans_s = 1e-3;
    }
  }
  const double span_s = motion.empty() ? scans.span * units.scans_s : motion.span * units.motion_s;
  units.gyro_s = unit_by_span_s(times_of(drive.gyro), span_s);
  return units;
}

std::vector<Finding> time_findings(const TimeUnits& units, const Drive& drive) {
  if (units.are_seconds()) return {};
  const bool wheels = !drive.wheels.empty();
  const Times scans = times_of(drive.scans);
  const Times motion = motion_times(drive);
  const std::string motion_file = wheels ? "wheels.csv" : "odometry.csv";
  std::string what;
  std::string act;
  const auto name = [&](const std::string& table, double unit_s) {
    if (unit_s == 1.0) return;
    what +=
        sentence("%s %s are in %s", what.empty() ? "the times of" : " and those of", table.c_str(), unit_name(unit_s));
    act += sentence("%s time_s of %s by %.0f", act.empty() ? "divide" : ",", table.c_str(), 1.0 / unit_s);
  };
  name("the scans", units.scans_s);
  if (!motion.empty()) name(motion_file, units.motion_s);
  name("gyro.csv", units.gyro_s);
  Finding finding;
  finding.fault = Fault::time_unit;
  finding.what = what + ", not in seconds";
  finding.figure =
      units.scans_s != 1.0
          ? sentence("the scans' times grow by %.6g from one to the next (median), and no lidar is so slow",
                     scans.interval)
          : sentence("%s lasts %.6g s, the scans %.6g s", units.motion_s != 1.0 ? motion_file.c_str() : "gyro.csv",
                     units.motion_s != 1.0 ? motion.span : times_of(drive.gyro).span, scans.span);
  finding.confidence = 0.999;
  finding.act = act;
  return {finding};
}

LogReadings in_seconds(LogReadings readings, const TimeUnits& units) {
  scale_motion(readings.drive, units);
  scale_scans(readings.drive.scans, units.scans_s);
  scale_scans(readings.logged, units.scans_s);
  if (readings.with_16_bits) {
    scale_motion(*readings.with_16_bits, units);
    scale_scans(readings.with_16_bits->scans, units.scans_s);
  }
  if (readings.other_headings) scale(readings.other_headings->odometry, units.motion_s);
  return readings;
}

}  // namespace wainscot
