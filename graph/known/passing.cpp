#include "graph/known/passing.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>

namespace wainscot {
namespace {

/// The return's own cell was seen, and neither it nor a cell around it may hold anything.
bool on_free_floor(const OccupancyGrid& grid, const Eigen::Vector2d& return_m, double most_probability) {
  const GridFrame& frame = grid.frame;
  const Eigen::Vector2d cell = (return_m - frame.lower_left_corner_m()) / frame.cell_size_m;
  if (!(cell.array() >= 1.0).all() || !(cell.x() < frame.columns - 1) || !(cell.y() < frame.rows - 1)) return false;
  const auto column = static_cast<std::int64_t>(cell.x());
  const auto row = static_cast<std::int64_t>(cell.y());
  for (std::int64_t r = row - 1; r <= row + 1; ++r) {
    for (std::int64_t c = column - 1; c <= column + 1; ++c) {
      const auto p = static_cast<double>(grid.probability[static_cast<std::size_t>(r * frame.columns + c)]);
      const bool own = r == row && c == column;
      if (std::isnan(p) ? own : p > most_probability) return false;
    }
  }
  return true;
}

}  // namespace

std::vector<Passing> find_passing(const OccupancyGrid& grid, const std::vector<Eigen::Vector2d>& returns_m,
                                  const PassingOptions& options) {
  std::vector<Passing> things;
  std::vector<Eigen::Vector2d> run;
  const auto end_run = [&] {
    if (!run.empty()) {
      const double width_m = (run.back() - run.front()).norm();
      if (static_cast<int>(run.size()) >= options.least_returns && width_m >= options.least_width_m &&
          width_m <= options.most_width_m) {
        Eigen::Vector2d sum = Eigen::Vector2d::Zero();
        for (const Eigen::Vector2d& point : run) sum += point;
        things.push_back({sum / static_cast<double>(run.size()), width_m});
      }
    }
    run.clear();
  };
  for (const Eigen::Vector2d& point : returns_m) {
    const bool free = on_free_floor(grid, point, options.most_probability);
    if (!free || (!run.empty() && (point - run.back()).norm() > options.gap_m)) end_run();
    if (free) run.push_back(point);
  }
  end_run();
  return things;
}

}  // namespace wainscot
