#include "graph/markers/floor_line.hpp"

#include <cmath>
#include <numbers>

namespace wainscot {

Eigen::Vector2d FloorLine::along() const { return {std::cos(direction_rad), std::sin(direction_rad)}; }

Eigen::Vector2d FloorLine::normal() const { return {-std::sin(direction_rad), std::cos(direction_rad)}; }

double FloorLine::left_m(const Eigen::Vector2d& place) const { return normal().dot(place - anchor); }

double FloorLine::ahead_m(const Eigen::Vector2d& place) const { return along().dot(place - anchor); }

FloorLine line_through(const std::vector<Eigen::Vector2d>& places) {
  FloorLine line;
  for (const Eigen::Vector2d& place : places) line.anchor += place / static_cast<double>(places.size());
  double xx_less_yy = 0.0;
  double xy = 0.0;
  for (const Eigen::Vector2d& place : places) {
    const Eigen::Vector2d away = place - line.anchor;
    xx_less_yy += away.x() * away.x() - away.y() * away.y();
    xy += away.x() * away.y();
  }
  line.direction_rad = 0.5 * std::atan2(2.0 * xy, xx_less_yy);  // of the greater principal axis
  if (line.along().dot(places.back() - places.front()) < 0.0) {
    line.direction_rad = wrap_angle(line.direction_rad + std::numbers::pi);
  }
  return line;
}

FloorLine in_frame(const Pose2& new_old, const FloorLine& line) {
  return {new_old * line.anchor, wrap_angle(line.direction_rad + new_old.heading_rad)};
}

}  // namespace wainscot
