#include "apps/mapping/checked_stretch.hpp"

#include <algorithm>
#include <cstddef>
#include <iterator>
#include <utility>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "core/median.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

constexpr double kGapS = 60.0;  // no lidar turns, and no wheels are read, so seldom
/// The clock is searched for at each offset of each window, whose numbers both grow with the time. An hour of turns
/// tells all of a check's constants far better than robots keep them.
constexpr double kLongestS = 3600.0;
constexpr std::size_t kFewestScans = 8;   // as the check needs
constexpr std::size_t kMostBeams = 4000;  // a scan; one in a tenth of a degree has 3,600

struct Stretch {
  double begin_s = 0.0;
  double end_s = 0.0;
  std::size_t scans = 0;
};

double median_interval_s(const std::vector<Scan>& scans) {
  std::vector<double> intervals;
  for (std::size_t i = 1; i < scans.size(); ++i) intervals.push_back(scans[i].time_s - scans[i - 1].time_s);
  return median(std::move(intervals));
}

void require_scans(const std::vector<Scan>& logged) {
  if (logged.size() < kFewestScans) {
    throw PoorData(fmt::format("the log has {}, and a check needs {} at least; record a longer drive",
                               count_text(logged.size(), "scan"), kFewestScans));
  }
  if (median_interval_s(logged) <= 0.0) {
    throw PoorData("most scans have the time of the one before; log when each scan's first beam was fired");
  }
}

/// What lies between the gaps, in the order of time.
std::vector<Stretch> stretches_of(const Drive& drive) {
  std::vector<std::pair<double, bool>> rows;  // time, whether it is a scan's
  for (const WheelCounts& row : drive.wheels) rows.emplace_back(row.time_s, false);
  for (const TimedPose& row : drive.odometry) rows.emplace_back(row.time_s, false);
  for (const Scan& scan : drive.scans) rows.emplace_back(scan.time_s, true);
  std::sort(rows.begin(), rows.end());
  std::vector<Stretch> stretches;
  for (const auto& [time_s, is_scan] : rows) {
    if (stretches.empty() || time_s - stretches.back().end_s > kGapS) stretches.push_back({time_s, time_s, 0});
    stretches.back().end_s = time_s;
    if (is_scan) ++stretches.back().scans;
  }
  return stretches;
}

Finding jump_of(const std::vector<Stretch>& stretches, const Stretch& kept) {
  std::size_t longest = 1;
  const auto gap_s = [&stretches](std::size_t i) { return stretches[i].begin_s - stretches[i - 1].end_s; };
  for (std::size_t i = 2; i < stretches.size(); ++i) longest = gap_s(i) > gap_s(longest) ? i : longest;
  Finding finding;
  finding.fault = Fault::lost_scans;
  finding.what = fmt::format("the log's times jump: for {} neither scans nor the robot's motion are logged",
                             duration_text(gap_s(longest)));
  finding.figure = fmt::format("{} over a minute, the longest from {} s to {} s; checked was from {} s to {} s, {}",
                               count_text(stretches.size() - 1, "jump"), fixed_text(stretches[longest - 1].end_s, 3),
                               fixed_text(stretches[longest].begin_s, 3), fixed_text(kept.begin_s, 3),
                               fixed_text(kept.end_s, 3), count_text(kept.scans, "scan"));
  finding.confidence = confidence_of(1e9, 1);
  finding.act =
      "look whether a clock was set during the drive, or two drives were joined; cut the log there, or correct the "
      "times";
  finding.time_s = stretches[longest - 1].end_s;
  return finding;
}

template <typename Row>
void keep(std::vector<Row>& rows, const Stretch& kept) {
  std::erase_if(rows, [&kept](const Row& row) { return row.time_s < kept.begin_s || row.time_s > kept.end_s; });
}

template <typename Row>
std::vector<std::size_t> breaks_within(const std::vector<std::size_t>& breaks, const std::vector<Row>& rows,
                                       const Stretch& kept) {
  const auto before = [](const Row& row, double time_s) { return row.time_s < time_s; };
  const auto first =
      static_cast<std::size_t>(std::lower_bound(rows.begin(), rows.end(), kept.begin_s, before) - rows.begin());
  std::vector<std::size_t> within;
  for (const std::size_t row : breaks) {
    if (row > first && row < rows.size() && rows[row].time_s <= kept.end_s) within.push_back(row - first);
  }
  return within;
}

void keep(Drive& drive, const Stretch& kept) {
  drive.breaks = drive.wheels.empty() ? breaks_within(drive.breaks, drive.odometry, kept)
                                      : breaks_within(drive.breaks, drive.wheels, kept);
  keep(drive.wheels, kept);
  keep(drive.odometry, kept);
  keep(drive.scans, kept);
  keep(drive.gyro, kept);
}

/// Returns how many beams the fullest scan had.
std::size_t thin_out(std::vector<Scan>& scans) {
  std::size_t most = 0;
  for (Scan& scan : scans) {
    std::vector<Return>& beams = scan.returns;
    most = std::max(most, beams.size());
    const std::size_t step = (beams.size() + kMostBeams - 1) / kMostBeams;
    if (step <= 1) continue;
    std::size_t kept = 0;
    for (std::size_t i = 0; i < beams.size(); i += step) beams[kept++] = beams[i];
    beams.resize(kept);
  }
  return most;
}

}  // namespace

CheckedStretch checked_stretch(LogReadings readings) {
  require_scans(readings.logged);
  CheckedStretch checked{std::move(readings), {}, {}};
  LogReadings& log = checked.readings;
  const std::vector<Stretch> stretches = stretches_of(log.drive);
  Stretch kept = *std::max_element(stretches.begin(), stretches.end(),
                                   [](const Stretch& a, const Stretch& b) { return a.scans < b.scans; });
  if (stretches.size() > 1) checked.findings.push_back(jump_of(stretches, kept));
  const bool longer = kept.end_s - kept.begin_s > kLongestS;
  if (longer) {
    checked.notes.push_back(fmt::format("Of {} the first hour was checked", duration_text(kept.end_s - kept.begin_s)));
    kept.end_s = kept.begin_s + kLongestS;
  }
  if (longer || stretches.size() > 1) {
    keep(log.drive, kept);
    keep(log.logged, kept);
    if (log.with_16_bits) keep(*log.with_16_bits, kept);
    if (log.other_headings) {
      log.other_headings->breaks = breaks_within(log.other_headings->breaks, log.other_headings->odometry, kept);
      keep(log.other_headings->odometry, kept);
    }
    require_scans(log.logged);
  }
  const std::size_t most_beams = thin_out(log.logged);
  thin_out(log.drive.scans);
  if (log.with_16_bits) thin_out(log.with_16_bits->scans);
  if (most_beams > kMostBeams) {
    checked.notes.push_back(fmt::format("A scan has up to {} beams; of every scan {} at most were looked at",
                                        whole_text(most_beams), whole_text(kMostBeams)));
  }
  return checked;
}

}  // namespace wainscot
