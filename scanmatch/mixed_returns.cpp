#include "scanmatch/mixed_returns.hpp"

#include <cmath>

namespace wainscot {
namespace {

constexpr double kTimes = 3.0;  // of a standard deviation: 3 in 1,000 normal errors are beyond

double cross(double ax, double ay, double bx, double by) { return ax * by - ay * bx; }

/// Whether the beam `at` ended on the line through two others, `tolerance_m` along the beam allowed for.
bool is_on_line(const ScanPoint& at, const ScanPoint& a, const ScanPoint& b, double tolerance_m) {
  const double along_x = static_cast<double>(b.x_m) - static_cast<double>(a.x_m);
  const double along_y = static_cast<double>(b.y_m) - static_cast<double>(a.y_m);
  const double off = cross(along_x, along_y, static_cast<double>(at.x_m) - static_cast<double>(a.x_m),
                           static_cast<double>(at.y_m) - static_cast<double>(a.y_m));
  const double of_beam = cross(along_x, along_y, static_cast<double>(at.beam_x), static_cast<double>(at.beam_y));
  return std::abs(off) <= tolerance_m * std::abs(of_beam);
}

}  // namespace

bool is_mixed(const std::vector<ScanPoint>& points, std::size_t i, double largest_m, double noise_m) {
  const auto met = [&](std::size_t k) {
    return k < points.size() && static_cast<double>(points[k].measured_m) < largest_m;
  };
  if (i == 0 || !met(i - 1) || !met(i + 1)) return false;
  const double apart_m = kTimes * std::sqrt(2.0) * noise_m;  // two ranges
  const auto range = [&](std::size_t k) { return static_cast<double>(points[k].range_m); };
  const double from_before = range(i) - range(i - 1);
  const double to_after = range(i + 1) - range(i);
  if (std::abs(from_before) <= apart_m || std::abs(to_after) <= apart_m || from_before * to_after < 0.0) return false;
  // At even steps of the angle a line gives the harmonic mean of its neighbours' ranges, to first order
  // r1 - (r0 + r2) / 2 = 0, with 1 1/2 times the variance of one range; and on from two, r0 - 2 r1 + r2 = 0, with six
  // times.
  if (is_on_line(points[i], points[i - 1], points[i + 1], kTimes * std::sqrt(1.5) * noise_m)) return false;
  const double onwards_m = kTimes * std::sqrt(6.0) * noise_m;
  if (i >= 2 && met(i - 2) && is_on_line(points[i], points[i - 2], points[i - 1], onwards_m)) return false;
  return !(met(i + 2) && is_on_line(points[i], points[i + 1], points[i + 2], onwards_m));
}

}  // namespace wainscot
