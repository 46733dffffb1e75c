#include "scanmatch/normals.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <vector>

namespace wainscot {
namespace {

/// Variance along a line / variance across it; less: a blob, not a line. Five returns of a wall as far apart as they
/// are noisy have 2. By hand, on simulated homes whose numbers were not kept.
constexpr double kLeastStretch = 6.0;

/// Moments of some points.
struct Moments {
  double n = 0.0, x = 0.0, y = 0.0, xx = 0.0, xy = 0.0, yy = 0.0;
};

Moments operator-(const Moments& a, const Moments& b) {
  return {a.n - b.n, a.x - b.x, a.y - b.y, a.xx - b.xx, a.xy - b.xy, a.yy - b.yy};
}

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

/// A line through the returns `first` to `last`, where that is what they lie on though the beams graze it: neighbours
/// are far apart then, and their ranges differ as at a depth edge.
std::optional<LineFit> grazed_line(const std::vector<ScanPoint>& points, std::ptrdiff_t first, std::ptrdiff_t last,
                                   double spacing_rad, const RangeNoise& noise, const NormalOptions& options) {
  const auto size = static_cast<std::ptrdiff_t>(points.size());
  if (first < 0 || last >= size) return std::nullopt;
  const double steepest = std::sqrt(1.0 / (options.min_incidence_cosine * options.min_incidence_cosine) - 1.0);
  Moments m;
  for (std::ptrdiff_t k = first; k <= last; ++k) {
    const ScanPoint& p = points[static_cast<std::size_t>(k)];
    const double x = p.x_m;
    const double y = p.y_m;
    m = {m.n + 1.0, m.x + x, m.y + y, m.xx + x * x, m.xy + x * y, m.yy + y * y};
    if (k == first) continue;
    const ScanPoint& before = points[static_cast<std::size_t>(k - 1)];
    const double turned = std::abs(wrap_angle(p.angle_rad - before.angle_rad));
    const double step_m = std::abs(p.range_m - before.range_m);
    const double range_m = std::max(p.range_m, before.range_m);
    // One return may be missing, not two; a step in range beyond three times the noise is a depth edge.
    if (turned > 2.5 * spacing_rad || step_m > steepest * turned * range_m + 3.0 * noise.at(range_m))
      return std::nullopt;
  }
  LineFit fit = principal_line(m);
  double sum = 0.0;
  for (std::ptrdiff_t k = first; k <= last; ++k) {
    const ScanPoint& p = points[static_cast<std::size_t>(k)];
    const double cosine = fit.normal_x * p.beam_x + fit.normal_y * p.beam_y;
    if (std::abs(cosine) < options.min_incidence_cosine) return std::nullopt;
    const double sd = noise.at(p.range_m) * cosine;
    sum += sd * sd + options.roughness_m * options.roughness_m;
  }
  const double limit = options.max_noise_ratio * options.max_noise_ratio * sum / m.n;
  if (fit.residual_variance_m2 > limit || fit.spread_variance_m2 < kLeastStretch * fit.residual_variance_m2)
    return std::nullopt;
  return fit;
}

/// The line that a return lies on that the beams graze: with two neighbours on both sides, or four on one.
std::optional<LineFit> grazed_line_at(const std::vector<ScanPoint>& points, std::size_t i, double spacing_rad,
                                      const RangeNoise& noise, const NormalOptions& options) {
  const auto at = static_cast<std::ptrdiff_t>(i);
  const std::ptrdiff_t others = options.min_neighbours - 1;
  for (const std::ptrdiff_t before : {others / 2, std::ptrdiff_t{0}, others}) {
    if (const auto fit = grazed_line(points, at - before, at - before + others, spacing_rad, noise, options))
      return fit;
  }
  return std::nullopt;
}

void set_normal(ScanPoint& point, const LineFit& fit, double returns) {
  const double cosine = fit.normal_x * point.beam_x + fit.normal_y * point.beam_y;
  const double towards = cosine > 0.0 ? -1.0 : 1.0;
  point.normal_x = static_cast<float>(towards * fit.normal_x);
  point.normal_y = static_cast<float>(towards * fit.normal_y);
  // The variance of n places, equally far apart, is (n^2 - 1) / 12 of the square of that distance.
  point.spacing_m = static_cast<float>(std::sqrt(12.0 * fit.spread_variance_m2 / (returns * returns - 1.0)));
}

/// The neighbours of each point on both sides, up to the first depth edge, and their moments. Running sums give the
/// moments of any stretch of the scan at once, and the stretch of a point begins and ends near that of the point
/// before.
class Neighbours {
 public:
  Neighbours(const std::vector<ScanPoint>& points, double spacing_rad, const NormalOptions& options)
      : size_(static_cast<std::ptrdiff_t>(points.size())),
        most_(std::max(kMostOnOneSide, static_cast<std::ptrdiff_t>(kMostTurnRad / std::max(spacing_rad, 1e-4)))) {
    // A full turn has no ends: its first points stand once more behind its last, and the other way round.
    const bool full_turn = std::abs(wrap_angle(points.front().angle_rad - points.back().angle_rad)) < 3.0 * spacing_rad;
    before_ = full_turn ? std::min(most_, size_ - 1) : 0;
    const std::ptrdiff_t all = size_ + 2 * before_;
    places_.reserve(static_cast<std::size_t>(all));
    sums_.reserve(static_cast<std::size_t>(all) + 1);
    sums_.emplace_back();
    double last_range = 0.0;
    for (std::ptrdiff_t k = 0; k < all; ++k) {
      const ScanPoint& p = points[static_cast<std::size_t>((k - before_ + size_) % size_)];
      const double range = p.range_m;
      const double radius = std::max(options.radius_m, options.radius_in_spacings * spacing_rad * range);
      places_.push_back({p.x_m, p.y_m, radius, k > 0 && std::abs(range - last_range) > 0.5 * radius});
      last_range = range;
      const Moments& s = sums_.back();
      const double x = p.x_m;
      const double y = p.y_m;
      sums_.push_back({s.n + 1.0, s.x + x, s.y + y, s.xx + x * x, s.xy + x * y, s.yy + y * y});
    }
  }

  /// To be called for i = 0, 1, 2, ...
  Moments around(std::size_t i) {
    const std::ptrdiff_t centre = static_cast<std::ptrdiff_t>(i) + before_;
    const Place& c = at(centre);
    last_ = std::clamp(last_, centre, centre + most_);
    while (last_ > centre && !within(c, last_)) --last_;
    const std::ptrdiff_t end = std::min(static_cast<std::ptrdiff_t>(places_.size()) - 1, centre + most_);
    while (last_ < end && !at(last_ + 1).edge_before && within(c, last_ + 1)) ++last_;
    if (c.edge_before) first_ = centre;
    first_ = std::max({first_, centre - most_, std::ptrdiff_t{0}});
    while (first_ < centre && !within(c, first_)) ++first_;
    const std::ptrdiff_t begin = std::max(std::ptrdiff_t{0}, centre - most_);
    while (first_ > begin && !at(first_).edge_before && within(c, first_ - 1)) --first_;
    return sums_[static_cast<std::size_t>(last_ + 1)] - sums_[static_cast<std::size_t>(first_)];
  }

 private:
  // Neighbours are those within a length; this bounds the work for a scan of thousands of beams. Within 0.6 rad lies
  // all of a wall's 0.18 m that is 0.3 m away, the least distance at which a robot drives; and of beams that are a
  // degree apart, which are hardly any work, twelve on each side.
  static constexpr double kMostTurnRad = 0.6;
  static constexpr std::ptrdiff_t kMostOnOneSide = 12;

  struct Place {
    double x, y;
    double radius;
    bool edge_before;  ///< a depth edge between the place before and this one
  };

  const Place& at(std::ptrdiff_t k) const { return places_[static_cast<std::size_t>(k)]; }
  bool within(const Place& c, std::ptrdiff_t k) const {
    const double dx = at(k).x - c.x;
    const double dy = at(k).y - c.y;
    return dx * dx + dy * dy <= c.radius * c.radius;
  }

  std::ptrdiff_t size_;
  std::ptrdiff_t most_;  ///< neighbours on one side
  std::ptrdiff_t before_ = 0;
  std::ptrdiff_t first_ = 0, last_ = 0;  // of the neighbours of the point asked for last
  std::vector<Place> places_;
  std::vector<Moments> sums_;  ///< of all places before
};

}  // namespace

RangeNoise range_noise(const LidarConstants& lidar) { return {lidar.noise_m, lidar.noise_per_m}; }

double beam_spacing(const std::vector<ScanPoint>& points) {
  if (points.size() < 2) return 0.0;
  std::vector<float> spacings;
  spacings.reserve(points.size());
  for (std::size_t i = 1; i < points.size(); ++i) {
    spacings.push_back(static_cast<float>(std::abs(wrap_angle(points[i].angle_rad - points[i - 1].angle_rad))));
  }
  const auto middle = spacings.begin() + static_cast<std::ptrdiff_t>(spacings.size() / 2);
  std::nth_element(spacings.begin(), middle, spacings.end());
  return *middle;
}

void estimate_normals(std::vector<ScanPoint>& points, const RangeNoise& noise, const NormalOptions& options) {
  for (ScanPoint& point : points) point.normal_x = point.normal_y = 0.0F;
  if (points.size() < static_cast<std::size_t>(options.min_neighbours)) return;
  const double spacing_rad = beam_spacing(points);
  Neighbours neighbours(points, spacing_rad, options);
  for (std::size_t i = 0; i < points.size(); ++i) {
    ScanPoint& point = points[i];
    const Moments moments = neighbours.around(i);
    if (moments.n < options.min_neighbours) {
      if (!options.where_grazed) continue;
      if (const auto fit = grazed_line_at(points, i, spacing_rad, noise, options)) {
        set_normal(point, *fit, options.min_neighbours);
      }
      continue;
    }
    const LineFit fit = principal_line(moments);
    const double cosine = fit.normal_x * point.beam_x + fit.normal_y * point.beam_y;
    if (std::abs(cosine) < options.min_incidence_cosine) continue;
    const double limit = options.max_noise_ratio * noise.at(point.range_m) * std::max(std::abs(cosine), 0.5);
    if (fit.residual_variance_m2 > limit * limit) continue;
    if (fit.spread_variance_m2 < kLeastStretch * fit.residual_variance_m2) continue;  // a blob, not a line
    set_normal(point, fit, moments.n);
  }
}

}  // namespace wainscot
