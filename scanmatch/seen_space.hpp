#pragma once

// What some scans have seen of the floor around a place: cells that beams crossed (free), cells that they ended in, and
// cells that nobody saw. Coarse, for the question whether another scan's wall stands where there is none.

#include <cstdint>
#include <vector>

#include <Eigen/Core>

namespace wainscot {

class SeenSpace {
 public:
  /// Coarser than noise of matches and walls' thickness, finer than a chair. By hand, on simulated homes whose numbers
  /// were not kept.
  static constexpr double kCellM = 0.1;

  /// Covers the square of `half_size_m` around `centre`.
  SeenSpace(const Eigen::Vector2d& centre, double half_size_m);

  /// A beam from `origin` that ended at `end`.
  void add_beam(const Eigen::Vector2d& origin, const Eigen::Vector2d& end);

  /// Crossed by several beams and no beam ended within a cell of it.
  bool is_free(const Eigen::Vector2d& point) const;

  /// Crossed, or a beam ended within a cell of it.
  bool is_seen(const Eigen::Vector2d& point) const;

 private:
  std::int32_t cell_of(const Eigen::Vector2d& point) const;

  Eigen::Vector2d corner_m_;
  std::int32_t size_;
  std::vector<std::uint8_t> crossings_;
  std::vector<std::uint8_t> near_end_;  ///< 1: a beam ended in the cell or beside it
};

}  // namespace wainscot
