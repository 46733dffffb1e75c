#include "io/log/odometry_reader.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/errors.hpp"
#include "io/files/csv_reader.hpp"
#include "io/log/guessed_ticks.hpp"
#include "io/log/late_rows.hpp"
#include "io/log/motion_breaks.hpp"
#include "io/log/row_limits.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

// Of rows with one time the last is the newest: it takes the place of the one before.
template <typename Row>
void append(std::vector<Row>& rows, const Row& row, std::size_t& merged) {
  if (!rows.empty() && rows.back().time_s == row.time_s) {
    rows.back() = row;
    ++merged;
  } else {
    rows.push_back(row);
  }
}

/// All rows of a table. `row_of`: reads one, the columns' places given in the order of their names.
template <typename Row>
std::vector<Row> read_rows(FileReader& file, const std::vector<std::string>& columns,
                           Row (*row_of)(CsvReader&, const std::vector<std::size_t>&),
                           std::vector<std::string>& warnings) {
  CsvReader table(file, UnfinishedRow::drop, warnings);
  const std::vector<std::size_t> places = table.find_columns(columns, {});
  std::vector<Row> rows;
  std::size_t merged = 0;
  while (table.next_row()) append(rows, row_of(table, places), merged);
  if (merged > 0) {
    warnings.push_back(
        fmt::format("{}: {} with the same time as the row after it, left out", file.name(), count_text(merged, "row")));
  }
  rows.shrink_to_fit();
  return rows;
}

// Rows that waited in a buffer get the times at which they were probably taken.
template <typename Row>
void spread_late_rows(const LogView& view, const std::string& name, std::vector<Row>& rows,
                      std::vector<std::string>& warnings) {
  const std::vector<LateBurst> bursts = find_late_bursts(view);
  warn_of_late_bursts(bursts, view, name, warnings);
  mend_late_rows(bursts, rows);
}

// The step of a counter that wraps: the smallest that explains the two counts.
std::int64_t counter_step(std::int64_t from, std::int64_t to, int bits) {
  // Differences of far-apart 64-bit counts overflow a signed type; the unsigned one wraps by definition.
  const auto raw = static_cast<std::int64_t>(static_cast<std::uint64_t>(to) - static_cast<std::uint64_t>(from));
  const std::int64_t range = std::int64_t{1} << bits;
  if (raw >= -range / 2 && raw < range / 2) return raw;
  const std::int64_t reduced =
      static_cast<std::int64_t>(static_cast<std::uint64_t>(raw) & (static_cast<std::uint64_t>(range) - 1));
  return reduced >= range / 2 ? reduced - range : reduced;
}

// A count of at most 10^15 either way, so that no sum of steps overflows: a wheel of 0.1 mm a tick rolls round the
// equator two thousand times for it.
std::int64_t ticks(const CsvReader& table, std::size_t column) {
  constexpr std::int64_t kMostTicks = 1'000'000'000'000'000;
  const std::int64_t count = table.whole_number(column);
  if (count < -kMostTicks || count > kMostTicks) {
    table.fail(column, fmt::format("is {}, which no counter reaches; write the counter's value", count));
  }
  return count;
}

WheelCounts counts_of(CsvReader& table, const std::vector<std::size_t>& columns) {
  const double time_s = table.time(columns[0]);
  return {time_s, ticks(table, columns[1]), ticks(table, columns[2])};
}

TimedPose pose_of(CsvReader& table, const std::vector<std::size_t>& columns) {
  const double time_s = table.time(columns[0]);
  const double x_m = table.number_within(columns[1], kLargestPosition_m);
  const double y_m = table.number_within(columns[2], kLargestPosition_m);
  return {time_s, {x_m, y_m, table.number_within(columns[3], kLargestHeading_rad)}};
}

std::vector<TimedPose> read_poses(FileReader& file, const OdometryUnits& units, std::vector<std::string>& warnings) {
  std::vector<TimedPose> poses = read_rows<TimedPose>(file, {"time_s", "x_m", "y_m", "heading_rad"}, pose_of, warnings);
  for (TimedPose& row : poses) {
    row.pose.x_m *= units.position_m;
    row.pose.y_m *= units.position_m;
    row.pose.heading_rad *= units.heading_rad;
  }
  return poses;
}

// Logs wrap headings at +-180 degrees or at 360, and an interpolation across that step would spin the robot.
void unwrap_headings(std::vector<TimedPose>& poses) {
  for (std::size_t i = 1; i < poses.size(); ++i) {
    const double before = poses[i - 1].pose.heading_rad;
    double& heading = poses[i].pose.heading_rad;
    heading = before + std::remainder(heading - before, 2.0 * std::numbers::pi);
  }
}

}  // namespace

WheelLog read_wheels(FileReader& file, const DriveConstants& constants, std::vector<std::string>& warnings) {
  WheelLog log;
  log.counts = read_rows<WheelCounts>(file, {"time_s", "left_ticks", "right_ticks"}, counts_of, warnings);
  std::vector<WheelCounts>& counts = log.counts;
  const int bits = constants.counter_bits;
  if (constants.left_m_per_tick == 0.0) log.guessed_m_per_tick = guessed_m_per_tick(counts, bits);
  const double left_m = std::abs(constants.left_m_per_tick) + log.guessed_m_per_tick;
  const double right_m = std::abs(constants.right_m_per_tick) + log.guessed_m_per_tick;
  LogView view;
  view.size = counts.size();
  view.time_s = [&](std::size_t i) { return counts[i].time_s; };
  view.step = [&](std::size_t from, std::size_t to) {
    const auto left = static_cast<double>(counter_step(counts[from].left_ticks, counts[to].left_ticks, bits));
    const auto right = static_cast<double>(counter_step(counts[from].right_ticks, counts[to].right_ticks, bits));
    const double way = std::max(std::abs(left) * left_m, std::abs(right) * right_m);
    return LogStep{counts[to].time_s - counts[from].time_s, way, 0.0};
  };
  view.from_origin_m = [&](std::size_t i) {
    return std::max(std::abs(static_cast<double>(counts[i].left_ticks)) * left_m,
                    std::abs(static_cast<double>(counts[i].right_ticks)) * right_m);
  };
  spread_late_rows(view, file.name(), counts, warnings);
  MotionBreaks breaks = find_breaks(view);
  warn_of_breaks(breaks, view, file.name(), "the counters restarted or jumped", warnings);
  remove_outliers(counts, breaks);

  WheelCounts raw = counts.front();
  for (std::size_t i = 1, next = 0; i < counts.size(); ++i) {
    const bool broken = next < breaks.at.size() && breaks.at[next] == i;
    if (broken) ++next;
    const WheelCounts now = counts[i];
    counts[i].left_ticks = counts[i - 1].left_ticks + (broken ? 0 : counter_step(raw.left_ticks, now.left_ticks, bits));
    counts[i].right_ticks =
        counts[i - 1].right_ticks + (broken ? 0 : counter_step(raw.right_ticks, now.right_ticks, bits));
    raw = now;
  }
  log.breaks = std::move(breaks.at);
  return log;
}

/// Mean of |cos| of the angle between the way that the robot takes and its heading, forwards or backwards; the headings
/// are multiplied by `unit_rad`. 1 where they agree, 0.64 where they have nothing to do with each other.
double agreement_with_way(const std::vector<TimedPose>& poses, double unit_rad) {
  constexpr double kStep_m = 0.05;
  double sum = 0.0;
  int count = 0;
  std::size_t from = 0;
  for (std::size_t i = 1; i < poses.size(); ++i) {
    const Eigen::Vector2d way = poses[i].pose.translation() - poses[from].pose.translation();
    if (way.norm() < kStep_m) continue;
    const double heading = 0.5 * unit_rad * (poses[i].pose.heading_rad + poses[from].pose.heading_rad);
    sum += std::abs(std::cos(std::atan2(way.y(), way.x()) - heading));
    ++count;
    from = i;
  }
  return count > 0 ? sum / count : 0.0;
}

/// A guess, and so no refusal: what turns on the spot and slides about looks the same. `check` asks the lidar.
void warn_of_degrees(const std::vector<TimedPose>& poses, const std::string& name, std::vector<std::string>& warnings) {
  constexpr double kDegree_rad = std::numbers::pi / 180.0;
  if (agreement_with_way(poses, 1.0) >= 0.85 || agreement_with_way(poses, kDegree_rad) <= 0.95) return;
  warnings.push_back(
      fmt::format("{}: heading_rad may hold degrees, since the robot would then drive where they point; see what "
                  "wainscot check says and, if so, write heading_unit_rad: 0.0174533 into robot.yaml, under odometry",
                  name));
}

PoseLog read_odometry(FileReader& file, const OdometryUnits& units, std::vector<std::string>& warnings) {
  PoseLog log;
  log.poses = read_poses(file, units, warnings);
  warn_of_degrees(log.poses, file.name(), warnings);
  std::vector<TimedPose>& poses = log.poses;
  LogView view;
  view.size = poses.size();
  view.time_s = [&](std::size_t i) { return poses[i].time_s; };
  view.step = [&](std::size_t from, std::size_t to) {
    const Pose2& a = poses[from].pose;
    const Pose2& b = poses[to].pose;
    return LogStep{poses[to].time_s - poses[from].time_s, std::hypot(b.x_m - a.x_m, b.y_m - a.y_m),
                   std::abs(wrap_angle(b.heading_rad - a.heading_rad))};
  };
  view.from_origin_m = [&](std::size_t i) { return std::hypot(poses[i].pose.x_m, poses[i].pose.y_m); };
  spread_late_rows(view, file.name(), poses, warnings);
  MotionBreaks breaks = find_breaks(view);
  warn_of_breaks(breaks, view, file.name(), "the odometry jumped", warnings);
  remove_outliers(poses, breaks);
  unwrap_headings(poses);
  log.breaks = std::move(breaks.at);
  return log;
}

std::vector<TimedPose> read_truth(FileReader& file, std::vector<std::string>& warnings) {
  std::vector<TimedPose> poses = read_poses(file, {}, warnings);
  unwrap_headings(poses);
  return poses;
}

}  // namespace wainscot
