#include "graph/check/range_faults.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "core/angles.hpp"
#include "core/odometry.hpp"
#include "graph/check/log_contents.hpp"

namespace wainscot {
namespace {

std::vector<float> all_ranges(const std::vector<Scan>& scans) {
  std::vector<float> ranges;
  for (const Scan& scan : scans) {
    for (const Return& beam : scan.returns) ranges.push_back(beam.range_m);
  }
  std::sort(ranges.begin(), ranges.end());
  return ranges;
}

/// The unit in which 95 % of the ranges lie below `far_range`. Lidars see 80 m at most, and no room is so small that
/// its walls lie within 1 m: below 100 are metres. Of centimetres and millimetres that which brings most walls nearest
/// to 5 m, as in a home.
double likely_unit(double far_range) {
  constexpr double kMostMetres = 100.0;
  constexpr double kMostCentimetres = 1581.0;  // 15.8 m; in millimetres 1.58 m
  if (far_range < kMostMetres) return 1.0;
  return far_range < kMostCentimetres ? 0.01 : 0.001;
}

void find_unit(const std::vector<float>& ranges, Robot& robot, std::vector<Finding>& findings) {
  constexpr double kMost = 0.95;  // above are what lidars say for nothing, and views through windows (chosen by hand)
  const double far_range = ranges[static_cast<std::size_t>(kMost * static_cast<double>(ranges.size() - 1))];
  const double unit = likely_unit(far_range);
  const double off = std::abs(std::log10(unit / robot.lidar.range_unit_m));
  if (off < 0.5) return;
  Finding finding;
  finding.fault = Fault::range_unit;
  finding.what = sentence("ranges are logged in %s", unit == 1.0    ? "metres"
                                                     : unit == 0.01 ? "centimetres"
                                                                    : "millimetres");
  finding.figure = sentence("95 %% of the logged ranges lie below %.4g; with range_unit_m %g that is %.4g m", far_range,
                            robot.lidar.range_unit_m, far_range * robot.lidar.range_unit_m);
  finding.confidence = 0.999;
  robot.lidar.range_unit_m = unit;
  finding.lines = {robot_line(robot, "lidar.range_unit_m")};
  findings.push_back(finding);
}

void find_largest(const std::vector<float>& ranges, Robot& robot, std::vector<Finding>& findings) {
  // Chosen by hand: real ranges seldom are all the same, and next to them lie others, while what a lidar says for
  // nothing stands alone (half of all within 3 %). Half as much names walls in short logs; twice as much misses lidars
  // that seldom see nothing.
  constexpr double kShare = 0.002;
  constexpr double kBelow = 0.97;
  const float largest = ranges.back();
  const auto equal = static_cast<double>(ranges.end() - std::lower_bound(ranges.begin(), ranges.end(), largest));
  const auto near = static_cast<double>(
      std::lower_bound(ranges.begin(), ranges.end(), largest) -
      std::lower_bound(ranges.begin(), ranges.end(), static_cast<float>(kBelow * static_cast<double>(largest))));
  const auto all = static_cast<double>(ranges.size());
  const double range_m = static_cast<double>(largest) * robot.lidar.range_unit_m;
  // Walls spread over the last 3 % of the range; a code is one value, over and over.
  if (equal < 50.0 || equal < kShare * all || equal < 0.5 * near || range_m >= robot.lidar.max_range_m) return;
  Finding finding;
  finding.fault = Fault::largest_range;
  finding.what = "\"no return\" is logged as the largest range: a ring of walls that are not there";
  finding.figure = sentence("%.1f %% of the returns are exactly %.4g m, only %.2f %% lie within 3 %% below",
                            100.0 * equal / all, range_m, 100.0 * near / all);
  finding.confidence = confidence_of(std::pow(equal - near, 2) / (equal + near), 1);
  robot.lidar.max_range_m = range_m;
  finding.lines = {robot_line(robot, "lidar.max_range_m")};
  finding.act = "better still, log 0 where nothing answered: a pane or black cloth there proves no free way";
  findings.push_back(finding);
}

/// Scans between which the robot moved.
std::vector<std::size_t> moved_scans(const std::vector<Scan>& scans, const Drive& drive) {
  constexpr double kMoved = 0.1;  // m or rad
  const std::vector<OdometryStep> steps = odometry_steps(without_gyro(drive));
  if (steps.empty()) return {};
  const OdometryPath path(steps, {});
  std::vector<std::size_t> chosen;
  double last = -1.0;
  for (std::size_t i = 0; i < scans.size(); ++i) {
    const double moved = path.way_at_m(scans[i].time_s) + path.turned_at_rad(scans[i].time_s);
    if (last >= 0.0 && moved - last < kMoved) continue;
    last = moved;
    chosen.push_back(i);
  }
  return chosen;
}

bool is_blind(const std::vector<Sector>& blind, double angle_deg) {
  const auto turn = [](double from, double to) { return std::fmod(std::fmod(to - from, 360.0) + 360.0, 360.0); };
  return std::any_of(blind.begin(), blind.end(), [&](const Sector& sector) {
    return turn(sector.from_deg, angle_deg) <= turn(sector.from_deg, sector.to_deg);
  });
}

// Directions of 2 degrees: a post of 1 cm fills one 0.3 m away.
constexpr int kBins = 180;
constexpr double kBinDeg = 360.0 / kBins;

/// Whether what is seen in a direction stays where it is, nearer than any wall would for long.
std::array<bool, kBins> own_body(const std::vector<Scan>& scans, const std::vector<std::size_t>& chosen,
                                 const LidarConstants& lidar) {
  constexpr double kReachM = 0.6;  // of a robot around its lidar
  constexpr double kShare = 0.6;   // of the scans
  std::array<std::vector<double>, kBins> near;
  std::array<double, kBins> beams{};
  for (const std::size_t i : chosen) {
    std::array<double, kBins> here{};
    for (const Return& beam : scans[i].returns) {
      const double angle_deg = kDegreesPerRadian * static_cast<double>(beam.angle_rad);
      const auto bin = static_cast<std::size_t>((angle_deg + 360.0) / kBinDeg) % kBins;
      if (is_blind(lidar.blind_deg, angle_deg)) continue;
      here[bin] += 1.0;
      const double range = beam.range_m;
      if (range >= lidar.min_range_m && range < kReachM) near[bin].push_back(range);
    }
    for (std::size_t b = 0; b < kBins; ++b) beams[b] = std::max(beams[b], here[b]);
  }
  std::array<bool, kBins> body{};
  const double width_m = 0.02 + 3.0 * lidar.noise_m;
  for (std::size_t b = 0; b < kBins; ++b) {
    std::vector<double>& ranges = near[b];
    const double all = beams[b] * static_cast<double>(chosen.size());
    if (all == 0.0 || static_cast<double>(ranges.size()) < kShare * all) continue;
    std::nth_element(ranges.begin(), ranges.begin() + static_cast<std::ptrdiff_t>(ranges.size() / 2), ranges.end());
    const double middle = ranges[ranges.size() / 2];
    const auto same =
        std::count_if(ranges.begin(), ranges.end(), [&](double range) { return std::abs(range - middle) < width_m; });
    body[b] = static_cast<double>(same) >= kShare * all;
  }
  return body;
}

/// Runs of directions, joined over a gap of one, counter-clockwise, with a margin on both sides.
std::vector<Sector> sectors_of(const std::array<bool, kBins>& body) {
  constexpr double kMarginDeg = 1.0;  // a beam's spot half on the edge
  std::vector<Sector> sectors;
  const auto at = [&](int b) { return body[static_cast<std::size_t>((b + kBins) % kBins)]; };
  int start = 0;
  while (start < kBins && (at(start) || at(start + 1))) ++start;
  if (start == kBins) return sectors;  // all round: not a body
  for (int k = 1; k <= kBins; ++k) {
    const int first = start + k;
    if (!at(first)) continue;
    int last = first;
    while (at(last + 1) || at(last + 2)) ++last;
    const auto degrees = [](double bin) { return std::remainder(bin * kBinDeg, 360.0); };
    sectors.push_back({std::round(degrees(first) - kMarginDeg), std::round(degrees(last + 1) + kMarginDeg)});
    k = last - start + 1;
  }
  return sectors;
}

void find_body(const std::vector<Scan>& logged, const Drive& drive, Robot& robot, std::vector<Finding>& findings) {
  // Scans from elsewhere (chosen by hand): of fewer a wall that was followed is taken for the robot.
  constexpr std::size_t kFewest = 30;
  LidarConstants open = robot.lidar;
  open.blind_deg.clear();
  const std::vector<Scan> scans = read_as(logged, open);
  const std::vector<std::size_t> chosen = moved_scans(scans, drive);
  if (chosen.size() < kFewest) return;
  const std::vector<Sector> sectors = sectors_of(own_body(scans, chosen, robot.lidar));
  if (sectors.empty()) return;
  Finding finding;
  finding.fault = Fault::body_in_view;
  finding.what = "the lidar sees the robot itself";
  std::string where;
  for (const Sector& sector : sectors) {
    where += sentence("%s%.0f° to %.0f°", where.empty() ? "" : ", ", sector.from_deg, sector.to_deg);
    robot.lidar.blind_deg.push_back(sector);
  }
  finding.figure = sentence("from %s (the lidar's angles) the same near range in most of %zu scans on the way",
                            where.c_str(), chosen.size());
  finding.confidence = 0.999;
  finding.lines = {robot_line(robot, "lidar.blind_deg")};
  findings.push_back(finding);
}

}  // namespace

std::vector<Scan> read_as(const std::vector<Scan>& logged, const LidarConstants& lidar) {
  std::vector<Scan> scans;
  scans.reserve(logged.size());
  for (const Scan& scan : logged) {
    Scan kept{scan.time_s, {}};
    for (Return beam : scan.returns) {
      const double range = static_cast<double>(beam.range_m) * lidar.range_unit_m;
      if (range < lidar.min_range_m ||
          is_blind(lidar.blind_deg, kDegreesPerRadian * static_cast<double>(beam.angle_rad))) {
        continue;
      }
      beam.range_m = static_cast<float>(range);
      kept.returns.push_back(beam);
    }
    scans.push_back(std::move(kept));
  }
  return scans;
}

std::vector<Finding> range_findings(const std::vector<Scan>& logged, const Drive& drive, Robot& robot) {
  std::vector<Finding> findings;
  const std::vector<float> ranges = all_ranges(logged);
  if (ranges.empty()) return findings;
  find_unit(ranges, robot, findings);
  find_largest(ranges, robot, findings);
  find_body(logged, drive, robot, findings);
  return findings;
}

}  // namespace wainscot
