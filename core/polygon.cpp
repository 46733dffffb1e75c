#include "core/polygon.hpp"

#include <algorithm>

namespace wainscot {
namespace {

double cross_of(const Eigen::Vector2d& a, const Eigen::Vector2d& b) { return a.x() * b.y() - a.y() * b.x(); }

/// On which side of the way from `a` to `b` the point lies: 1 left, -1 right, 0 on it.
int side_of(const Eigen::Vector2d& a, const Eigen::Vector2d& b, const Eigen::Vector2d& point) {
  const double side = cross_of(b - a, point - a);
  return side > 0.0 ? 1 : (side < 0.0 ? -1 : 0);
}

/// Whether a point of the edge's line lies between the edge's ends.
bool is_between(const Eigen::Vector2d& a, const Eigen::Vector2d& b, const Eigen::Vector2d& point) {
  return (point - a).dot(point - b) <= 0.0;
}

bool edges_meet(const Eigen::Vector2d& a, const Eigen::Vector2d& b, const Eigen::Vector2d& c,
                const Eigen::Vector2d& d) {
  const int c_side = side_of(a, b, c);
  const int d_side = side_of(a, b, d);
  const int a_side = side_of(c, d, a);
  const int b_side = side_of(c, d, b);
  if (c_side * d_side < 0 && a_side * b_side < 0) return true;
  return (c_side == 0 && is_between(a, b, c)) || (d_side == 0 && is_between(a, b, d)) ||
         (a_side == 0 && is_between(c, d, a)) || (b_side == 0 && is_between(c, d, b));
}

/// Whether the way from `a` over `b` goes straight back.
bool turns_back(const Eigen::Vector2d& a, const Eigen::Vector2d& b, const Eigen::Vector2d& c) {
  return a == b || b == c || (side_of(a, b, c) == 0 && (b - a).dot(c - b) < 0.0);
}

}  // namespace

double signed_area(std::span<const Eigen::Vector2d> corners) {
  double twice = 0.0;
  for (std::size_t i = 0; i < corners.size(); ++i) {
    // From the first corner, so that far from the origin no digits are lost.
    twice += cross_of(corners[i] - corners[0], corners[(i + 1) % corners.size()] - corners[0]);
  }
  return 0.5 * twice;
}

bool contains(std::span<const Eigen::Vector2d> corners, const Eigen::Vector2d& point) {
  bool inside = false;
  for (std::size_t i = 0; i < corners.size(); ++i) {
    const Eigen::Vector2d& a = corners[i];
    const Eigen::Vector2d& b = corners[(i + 1) % corners.size()];
    if ((a.y() > point.y()) == (b.y() > point.y())) continue;
    if (point.x() < a.x() + (point.y() - a.y()) / (b.y() - a.y()) * (b.x() - a.x())) inside = !inside;
  }
  return inside;
}

std::optional<std::pair<std::size_t, std::size_t>> crossing_edges(std::span<const Eigen::Vector2d> corners) {
  const std::size_t size = corners.size();
  const auto corner = [&](std::size_t i) -> const Eigen::Vector2d& { return corners[i % size]; };
  for (std::size_t i = 0; i < size; ++i) {
    if (turns_back(corner(i), corner(i + 1), corner(i + 2))) {
      return std::pair{std::min(i, (i + 1) % size), std::max(i, (i + 1) % size)};
    }
    for (std::size_t j = i + 2; j < size; ++j) {
      if (i == 0 && j + 1 == size) continue;  // neighbours over the first corner
      if (edges_meet(corner(i), corner(i + 1), corner(j), corner(j + 1))) return std::pair{i, j};
    }
  }
  return std::nullopt;
}

}  // namespace wainscot
