#include "scanmatch/seen_space.hpp"

#include <algorithm>
#include <cmath>

namespace wainscot {

SeenSpace::SeenSpace(const Eigen::Vector2d& centre, double half_size_m)
    : corner_m_(centre - Eigen::Vector2d::Constant(half_size_m)),
      size_(static_cast<std::int32_t>(std::ceil(2.0 * half_size_m / kCellM))),
      crossings_(static_cast<std::size_t>(size_) * static_cast<std::size_t>(size_), 0),
      near_end_(crossings_.size(), 0) {}

std::int32_t SeenSpace::cell_of(const Eigen::Vector2d& point) const {
  const double column = std::floor((point.x() - corner_m_.x()) / kCellM);
  const double row = std::floor((point.y() - corner_m_.y()) / kCellM);
  if (!(column >= 1.0 && row >= 1.0 && column < size_ - 1 && row < size_ - 1)) return -1;
  return static_cast<std::int32_t>(row) * size_ + static_cast<std::int32_t>(column);
}

void SeenSpace::add_beam(const Eigen::Vector2d& origin, const Eigen::Vector2d& end) {
  const double length = (end - origin).norm();
  const int steps = static_cast<int>(length / kCellM) - 1;  // the last cells before the end stay undecided
  const Eigen::Vector2d step = (end - origin) / std::max(length, kCellM) * kCellM;
  for (int i = 0; i < steps; ++i) {
    const std::int32_t cell = cell_of(origin + i * step);
    if (cell < 0) continue;
    std::uint8_t& crossings = crossings_[static_cast<std::size_t>(cell)];
    crossings = static_cast<std::uint8_t>(std::min(crossings + 1, 255));
  }
  const std::int32_t cell = cell_of(end);
  if (cell < 0) return;
  for (std::int32_t row = -1; row <= 1; ++row) {
    for (std::int32_t column = -1; column <= 1; ++column) {
      near_end_[static_cast<std::size_t>(cell + row * size_ + column)] = 1;
    }
  }
}

bool SeenSpace::is_free(const Eigen::Vector2d& point) const {
  constexpr std::uint8_t kEnough = 3;  // a mixed return or a person's passing may cross once or twice
  const std::int32_t cell = cell_of(point);
  return cell >= 0 && near_end_[static_cast<std::size_t>(cell)] == 0 &&
         crossings_[static_cast<std::size_t>(cell)] >= kEnough;
}

bool SeenSpace::is_seen(const Eigen::Vector2d& point) const {
  const std::int32_t cell = cell_of(point);
  return cell >= 0 &&
         (near_end_[static_cast<std::size_t>(cell)] != 0 || crossings_[static_cast<std::size_t>(cell)] > 0);
}

}  // namespace wainscot
