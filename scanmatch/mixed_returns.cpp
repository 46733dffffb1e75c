#include "scanmatch/mixed_returns.hpp"

#include <cmath>
#include <limits>

#include "core/cross.hpp"
#include "core/pose2.hpp"

namespace wainscot {
namespace {

constexpr double kTimes = 3.0;           // of a standard deviation: 3 in 1,000 normal errors are beyond
constexpr double kBesideSpacings = 1.5;  // one spacing is the next beam, at two the one between gave nothing

/// Whether the beam `at` ended on the line through two others, `tolerance_m` along the beam allowed for.
bool is_on_line(const ScanPoint& at, const ScanPoint& a, const ScanPoint& b, double tolerance_m) {
  const auto end_of = [](const ScanPoint& p) { return Eigen::Vector2d(p.x_m, p.y_m); };
  const Eigen::Vector2d along = end_of(b) - end_of(a);
  return std::abs(cross(along, end_of(at) - end_of(a))) <=
         tolerance_m * std::abs(cross(along, Eigen::Vector2d(at.beam_x, at.beam_y)));
}

}  // namespace

bool is_mixed(const std::vector<ScanPoint>& points, std::size_t i, double spacing_rad, double largest_m,
              double noise_m) {
  const auto met = [&](std::size_t k) {
    return k < points.size() && static_cast<double>(points[k].measured_m) < largest_m;
  };
  const auto range_beside = [&](std::size_t k) {
    if (!met(k)) return std::numeric_limits<double>::infinity();
    const double turned =
        wrap_angle(static_cast<double>(points[k].angle_rad) - static_cast<double>(points[i].angle_rad));
    if (std::abs(turned) > kBesideSpacings * spacing_rad) return std::numeric_limits<double>::infinity();
    return static_cast<double>(points[k].range_m);
  };
  const double apart_m = kTimes * std::sqrt(2.0) * noise_m;  // two ranges
  const auto range_m = static_cast<double>(points[i].range_m);
  const double before_m = range_beside(i - 1);  // of the first: none, since no index is as large
  const double after_m = range_beside(i + 1);
  if (std::abs(range_m - before_m) <= apart_m || std::abs(range_m - after_m) <= apart_m) return false;
  if (range_m < before_m && range_m < after_m) return false;
  // At even steps of the angle a line gives the harmonic mean of its neighbours' ranges, to first order
  // r1 - (r0 + r2) / 2 = 0, with 1 1/2 times the variance of one range; and on from two, r0 - 2 r1 + r2 = 0, with six
  // times.
  const auto on_line = [&](std::size_t a, std::size_t b, double variances) {
    return met(a) && met(b) && is_on_line(points[i], points[a], points[b], kTimes * std::sqrt(variances) * noise_m);
  };
  return !on_line(i - 1, i + 1, 1.5) && !on_line(i - 2, i - 1, 6.0) && !on_line(i + 1, i + 2, 6.0);
}

}  // namespace wainscot
