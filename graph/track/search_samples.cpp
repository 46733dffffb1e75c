#include "graph/track/search_samples.hpp"

#include <algorithm>
#include <cstddef>

namespace wainscot {

double search_radius_m(const std::vector<ScanPoint>& points) {
  std::vector<float> ranges;
  for (const ScanPoint& p : points) ranges.push_back(p.range_m);
  const auto most = ranges.begin() + static_cast<std::ptrdiff_t>(7 * ranges.size() / 10);
  std::nth_element(ranges.begin(), most, ranges.end());
  return std::clamp(static_cast<double>(*most), 6.0, 25.0);
}

std::vector<Eigen::Vector2d> samples_near(const LineMap& map, int oldest_node, const Eigen::Vector2d& centre,
                                          double radius_m) {
  // The coarse search's cells; half as much costs twice the time and fills the same cells.
  constexpr double kSpacingM = 0.05;
  std::vector<Eigen::Vector2d> samples;
  for (const Line& line : map.lines()) {
    if (line.last_node >= oldest_node && (line.anchor - centre).norm() <= radius_m) {
      add_samples(line, kSpacingM, samples);
    }
  }
  return samples;
}

std::vector<Eigen::Vector2d> ends_within(const std::vector<ScanPoint>& points, double radius_m) {
  constexpr std::size_t kMost = 360;  // a limit of time: one a degree
  const std::size_t stride = std::max<std::size_t>(1, points.size() / kMost);
  std::vector<Eigen::Vector2d> result;
  for (std::size_t i = 0; i < points.size(); i += stride) {
    if (static_cast<double>(points[i].range_m) <= radius_m) result.emplace_back(points[i].x_m, points[i].y_m);
  }
  return result;
}

}  // namespace wainscot
