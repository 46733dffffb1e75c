#include "graph/known/spread_points.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace wainscot {

std::vector<ScanPoint> evenly(const std::vector<ScanPoint>& points) {
  constexpr float kApartM = 0.08F;  // chosen: apart as 360 beams a turn are at 4.6 m
  std::vector<ScanPoint> result;
  for (const ScanPoint& p : points) {
    if (result.empty() || std::hypot(p.x_m - result.back().x_m, p.y_m - result.back().y_m) >= kApartM) {
      result.push_back(p);
    }
  }
  return result;
}

std::vector<ScanPoint> thinned(const std::vector<ScanPoint>& points, std::size_t most) {
  std::vector<ScanPoint> some;
  std::copy_if(points.begin(), points.end(), std::back_inserter(some),
               [](const ScanPoint& p) { return p.has_normal(); });
  const std::size_t stride = std::max<std::size_t>(1, (some.size() + most - 1) / most);
  for (std::size_t i = 0; i * stride < some.size(); ++i) some[i] = some[i * stride];
  some.resize((some.size() + stride - 1) / stride);
  return some;
}

}  // namespace wainscot
