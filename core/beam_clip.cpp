#include "core/beam_clip.hpp"

#include <algorithm>

namespace wainscot {

bool clip_to_frame(const GridFrame& frame, Eigen::Vector2d& from, Eigen::Vector2d& to) {
  // A hair inside, so that rounding never names a cell beyond the last one.
  const Eigen::Array2d high = Eigen::Array2d(frame.columns, frame.rows) - 1e-6;
  const auto inside = [&](const Eigen::Vector2d& p) {
    return p.x() >= 0.0 && p.y() >= 0.0 && p.x() <= high.x() && p.y() <= high.y();
  };
  if (inside(from) && inside(to)) {
    return true;
  }
  const Eigen::Vector2d way = to - from;
  double enter = 0.0;
  double leave = 1.0;
  for (int axis = 0; axis < 2; ++axis) {
    if (way[axis] == 0.0) {
      if (!(from[axis] >= 0.0 && from[axis] <= high[axis])) {
        return false;
      }
      continue;
    }
    const double at_low = -from[axis] / way[axis];
    const double at_high = (high[axis] - from[axis]) / way[axis];
    enter = std::max(enter, std::min(at_low, at_high));
    leave = std::min(leave, std::max(at_low, at_high));
  }
  if (!(enter < leave)) {
    return false;
  }
  const auto at = [&](double u) -> Eigen::Vector2d { return (from + u * way).cwiseMax(0.0).cwiseMin(high.matrix()); };
  const Eigen::Vector2d entered = at(enter);
  to = at(leave);
  from = entered;
  return true;
}

}  // namespace wainscot
