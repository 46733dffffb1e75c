#include "scanmatch/normals.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

namespace wainscot {
namespace {

/// Moments of some points about one of them.
struct Moments {
  double n = 0.0, x = 0.0, y = 0.0, xx = 0.0, xy = 0.0, yy = 0.0;

  void add(double dx, double dy) {
    n += 1.0;
    x += dx;
    y += dy;
    xx += dx * dx;
    xy += dx * dy;
    yy += dy * dy;
  }
};

struct LineFit {
  double normal_x, normal_y;
  double residual_variance_m2;  ///< across the line
  double spread_variance_m2;    ///< along the line
};

LineFit principal_line(const Moments& m) {
  const double xx = m.xx / m.n - m.x * m.x / (m.n * m.n);
  const double xy = m.xy / m.n - m.x * m.y / (m.n * m.n);
  const double yy = m.yy / m.n - m.y * m.y / (m.n * m.n);
  const double half_difference = 0.5 * (xx - yy);
  const double root = std::sqrt(half_difference * half_difference + xy * xy);
  const double mean = 0.5 * (xx + yy);
  // Eigenvector of the larger eigenvalue, in the form that does not cancel.
  double along_x = half_difference >= 0.0 ? half_difference + root : xy;
  double along_y = half_difference >= 0.0 ? xy : root - half_difference;
  const double length = std::sqrt(along_x * along_x + along_y * along_y);
  if (length > 0.0) {
    along_x /= length;
    along_y /= length;
  }
  return {-along_y, along_x, std::max(0.0, mean - root), mean + root};
}

/// Angle between neighbouring beams: the median over the scan, since lost returns leave gaps.
double beam_spacing(const std::vector<ScanPoint>& points) {
  std::vector<float> spacings;
  spacings.reserve(points.size());
  for (std::size_t i = 1; i < points.size(); ++i) {
    spacings.push_back(static_cast<float>(std::abs(wrap_angle(points[i].angle_rad - points[i - 1].angle_rad))));
  }
  const auto middle = spacings.begin() + static_cast<std::ptrdiff_t>(spacings.size() / 2);
  std::nth_element(spacings.begin(), middle, spacings.end());
  return *middle;
}

class NeighbourWalk {
 public:
  NeighbourWalk(const std::vector<ScanPoint>& points, const NormalOptions& options, double spacing_rad)
      : points_(points),
        options_(options),
        spacing_rad_(spacing_rad),
        full_turn_(std::abs(wrap_angle(points.front().angle_rad - points.back().angle_rad)) < 3.0 * spacing_rad) {}

  /// Moments of the neighbours of point i on both sides, up to the first depth edge.
  Moments around(std::size_t i) const {
    const ScanPoint& centre = points_[i];
    const double radius =
        std::max(options_.radius_m, options_.radius_in_spacings * spacing_rad_ * static_cast<double>(centre.range_m));
    Moments moments;
    moments.add(0.0, 0.0);
    walk(i, 1, radius, moments);
    walk(i, points_.size() - 1, radius, moments);
    return moments;
  }

 private:
  static constexpr int kMostOnOneSide = 12;

  void walk(std::size_t start, std::size_t stride, double radius, Moments& moments) const {
    const ScanPoint& centre = points_[start];
    std::size_t previous = start;
    for (int taken = 0; taken < kMostOnOneSide; ++taken) {
      const std::size_t next = (previous + stride) % points_.size();
      const bool crosses_end = stride == 1 ? next < previous : next > previous;
      if (crosses_end && !full_turn_) return;
      const double dx = points_[next].x_m - centre.x_m;
      const double dy = points_[next].y_m - centre.y_m;
      const double gap = std::abs(points_[next].range_m - points_[previous].range_m);
      if (dx * dx + dy * dy > radius * radius || gap > 0.5 * radius) return;
      moments.add(dx, dy);
      previous = next;
    }
  }

  const std::vector<ScanPoint>& points_;
  const NormalOptions& options_;
  double spacing_rad_;
  bool full_turn_;
};

}  // namespace

void estimate_normals(std::vector<ScanPoint>& points, const RangeNoise& noise, const NormalOptions& options) {
  for (ScanPoint& point : points) point.normal_x = point.normal_y = 0.0F;
  if (points.size() < static_cast<std::size_t>(options.min_neighbours)) return;
  const NeighbourWalk neighbours(points, options, beam_spacing(points));
  for (std::size_t i = 0; i < points.size(); ++i) {
    ScanPoint& point = points[i];
    const Moments moments = neighbours.around(i);
    if (moments.n < options.min_neighbours) continue;
    LineFit fit = principal_line(moments);
    const double cosine = fit.normal_x * point.beam_x + fit.normal_y * point.beam_y;
    if (std::abs(cosine) < options.min_incidence_cosine) continue;
    const double limit = options.max_noise_ratio * noise.at(point.range_m) * std::max(std::abs(cosine), 0.5);
    if (fit.residual_variance_m2 > limit * limit) continue;
    if (fit.spread_variance_m2 < 6.0 * fit.residual_variance_m2) continue;  // a blob, not a line
    const double towards = cosine > 0.0 ? -1.0 : 1.0;
    point.normal_x = static_cast<float>(towards * fit.normal_x);
    point.normal_y = static_cast<float>(towards * fit.normal_y);
  }
}

}  // namespace wainscot
