#include "graph/check/readable_log.hpp"

#include <utility>

#include "core/errors.hpp"
#include "core/odometry.hpp"
#include "graph/check/range_faults.hpp"

namespace wainscot {
namespace {

LogContents contents_of(const LogReadings& readings) {
  LogContents contents = log_contents(readings.drive);
  // As logged: read with a wrong unit hardly any may be left.
  Drive logged;
  logged.scans = readings.logged;
  contents.returns_per_scan = log_contents(logged).returns_per_scan;
  return contents;
}

}  // namespace

ReadableLog readable_log(const LogReadings& readings) {
  if (odometry_steps(readings.drive).empty()) {
    throw PoorData("the drive has fewer than two rows of odometry; record wheels and scans together");
  }
  ReadableLog log{contents_of(readings), readings.drive, {}, {}};
  Robot& robot = log.drive.robot;
  const Drive* narrow = readings.with_16_bits ? &*readings.with_16_bits : nullptr;
  std::vector<Finding>& findings = log.diagnosis.findings;
  findings = log_findings(readings.drive, log.contents, narrow);
  for (const Finding& finding : findings) {
    if (finding.fault == Fault::dead_counter) log.counts = false;
    if (finding.fault != Fault::counter_wraps) continue;
    log.drive.wheels = narrow->wheels;
    log.drive.breaks = narrow->breaks;
    robot.drive->counter_bits = narrow->robot.drive->counter_bits;
  }
  for (Finding& finding : range_findings(readings.logged, log.drive, robot)) findings.push_back(std::move(finding));
  log.diagnosis.mended = robot;
  log.drive.scans = read_as(readings.logged, robot.lidar);
  log.scans = turn_scans(log.drive.scans, robot.lidar);
  if (log.scans.scans.size() < 8 || log.scans.turn_s <= 0.0) {
    throw PoorData(
        sentence("only %zu of %zu scans hold 20 returns or more between min_range_m and max_range_m: that "
                 "tells nothing; look at the lidar, or record a longer drive",
                 log.scans.scans.size(), readings.logged.size()));
  }
  return log;
}

}  // namespace wainscot
