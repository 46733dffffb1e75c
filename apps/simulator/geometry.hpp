#pragma once

// Points and polygons of the simulated house. Own small geometry: the simulator shares no mathematics with the mapper.

#include <cmath>
#include <limits>
#include <vector>

namespace wainscot::simulator {

constexpr double kInfinity = std::numeric_limits<double>::infinity();
constexpr double kPi = 3.14159265358979323846;
constexpr double kDegree_rad = kPi / 180.0;

struct Point {
  double x_m = 0.0;
  double y_m = 0.0;
};

inline Point operator+(Point a, Point b) { return {a.x_m + b.x_m, a.y_m + b.y_m}; }
inline Point operator-(Point a, Point b) { return {a.x_m - b.x_m, a.y_m - b.y_m}; }
inline Point operator*(double s, Point a) { return {s * a.x_m, s * a.y_m}; }
inline double dot(Point a, Point b) { return a.x_m * b.x_m + a.y_m * b.y_m; }
inline double cross(Point a, Point b) { return a.x_m * b.y_m - a.y_m * b.x_m; }
inline double norm(Point a) { return std::sqrt(dot(a, a)); }

/// The vector turned by +90 degrees.
inline Point left_of(Point a) { return {-a.y_m, a.x_m}; }

/// Unit vector along `a`; (1, 0) for the null vector.
inline Point unit(Point a) {
  const double length = norm(a);
  return length > 0.0 ? (1.0 / length) * a : Point{1.0, 0.0};
}

inline Point direction(double angle_rad) { return {std::cos(angle_rad), std::sin(angle_rad)}; }
inline double angle_of(Point a) { return std::atan2(a.y_m, a.x_m); }

/// The smallest signed angle equal to `angle_rad` up to whole turns, in [-pi, pi].
inline double nearest_angle(double angle_rad) { return std::remainder(angle_rad, 2.0 * kPi); }

/// The nearest whole multiple of `step`.
inline double rounded(double value, double step) { return std::round(value / step) * step; }
/// To whole centimetres, as plans are written.
inline Point rounded(Point p) { return {rounded(p.x_m, 0.01), rounded(p.y_m, 0.01)}; }

/// Corners in counter-clockwise order; no corner twice.
using Polygon = std::vector<Point>;

/// A rectangle with its middle at `centre`, `length_m` along `heading_rad` and `width_m` across it.
Polygon rectangle(Point centre, double length_m, double width_m, double heading_rad);

/// Whether the point lies inside; points on the edge may go either way.
bool contains(const Polygon& polygon, Point point);

/// Area in square metres, positive for counter-clockwise corners.
double area_m2(const Polygon& polygon);

Point centroid(const Polygon& polygon);

/// Distance from a point to the segment from `from` to `to`, metres.
double distance_m(Point point, Point from, Point to);

/// Least distance between two polygons' edges; 0 where they cross or one holds the other.
double distance_m(const Polygon& a, const Polygon& b);

}  // namespace wainscot::simulator
