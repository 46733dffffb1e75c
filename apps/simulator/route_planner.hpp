#pragma once

// Finds ways through a furnished home that keep clear of everything.

#include <functional>
#include <optional>
#include <vector>

#include "apps/simulator/surfaces.hpp"

namespace wainscot::simulator {

/// Square cells of floor with the distance to the nearest solid thing.
class FloorGrid {
 public:
  /// `least_clearance_m`: a robot's middle is never planned nearer to anything. Furniture on legs counts as solid.
  FloorGrid(const Plan& plan, double least_clearance_m);

  /// Distance to the nearest thing, metres, at most 1; 0 outside the grid and in things.
  double clearance_m(Point p) const;
  /// Least clearance on the straight way, in steps of half a cell.
  double clearance_m(Point from, Point to) const;

  /// A way that likes room on both sides; nullopt where there is none. `dislike` multiplies the cost at a point (1:
  /// none).
  std::optional<std::vector<Point>> way(Point from, Point to, const std::function<double(Point)>& dislike) const;

  /// The cheapest way's cost from a point to every cell; infinity where there is none.
  std::vector<double> costs_from(Point from) const;
  int cell(Point p) const;
  Point centre(int cell) const;
  int cells() const { return columns_ * rows_; }

 private:
  struct Search;
  Search search(Point from, int goal, const std::function<double(Point)>& dislike) const;
  std::vector<Point> straightened(const std::vector<Point>& cells) const;
  bool free(int cell) const;

  double least_clearance_m_;
  Point corner_;
  int columns_ = 0;
  int rows_ = 0;
  std::vector<float> clearance_;
};

}  // namespace wainscot::simulator
