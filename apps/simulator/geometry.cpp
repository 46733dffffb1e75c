#include "apps/simulator/geometry.hpp"

#include <algorithm>
#include <cstddef>
#include <limits>

namespace wainscot::simulator {

Polygon rectangle(Point centre, double length_m, double width_m, double heading_rad) {
  const Point along = (length_m / 2.0) * direction(heading_rad);
  const Point across = (width_m / 2.0) * left_of(direction(heading_rad));
  return {centre - along - across, centre + along - across, centre + along + across, centre - along + across};
}

bool contains(const Polygon& polygon, Point point) {
  bool inside = false;
  for (std::size_t i = 0, j = polygon.size() - 1; i < polygon.size(); j = i++) {
    const Point a = polygon[i];
    const Point b = polygon[j];
    if ((a.y_m > point.y_m) == (b.y_m > point.y_m)) continue;
    const double x = a.x_m + (point.y_m - a.y_m) / (b.y_m - a.y_m) * (b.x_m - a.x_m);
    if (point.x_m < x) inside = !inside;
  }
  return inside;
}

double area_m2(const Polygon& polygon) {
  double twice = 0.0;
  for (std::size_t i = 0, j = polygon.size() - 1; i < polygon.size(); j = i++) twice += cross(polygon[j], polygon[i]);
  return twice / 2.0;
}

Point centroid(const Polygon& polygon) {
  Point sum;
  double twice = 0.0;
  for (std::size_t i = 0, j = polygon.size() - 1; i < polygon.size(); j = i++) {
    const double weight = cross(polygon[j] - polygon[0], polygon[i] - polygon[0]);
    sum = sum + weight * (polygon[i] + polygon[j] + polygon[0]);
    twice += weight;
  }
  return (1.0 / (3.0 * twice)) * sum;
}

double distance_m(Point point, Point from, Point to) {
  const Point along = to - from;
  const double square = dot(along, along);
  const double u = square > 0.0 ? std::clamp(dot(point - from, along) / square, 0.0, 1.0) : 0.0;
  return norm(point - (from + u * along));
}

namespace {

bool segments_cross(Point a, Point b, Point c, Point d) {
  const double c_side = cross(b - a, c - a);
  const double d_side = cross(b - a, d - a);
  const double a_side = cross(d - c, a - c);
  const double b_side = cross(d - c, b - c);
  return (c_side > 0.0) != (d_side > 0.0) && (a_side > 0.0) != (b_side > 0.0);
}

}  // namespace

double distance_m(const Polygon& a, const Polygon& b) {
  if (contains(a, b[0]) || contains(b, a[0])) return 0.0;
  double least = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < a.size(); ++i) {
    const Point a0 = a[i];
    const Point a1 = a[(i + 1) % a.size()];
    for (std::size_t j = 0; j < b.size(); ++j) {
      const Point b0 = b[j];
      const Point b1 = b[(j + 1) % b.size()];
      if (segments_cross(a0, a1, b0, b1)) return 0.0;
      least = std::min({least, distance_m(a0, b0, b1), distance_m(b0, a0, a1)});
    }
  }
  return least;
}

}  // namespace wainscot::simulator
