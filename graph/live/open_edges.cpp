#include "graph/live/open_edges.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <utility>

namespace wainscot {
namespace {

struct Cell {
  std::int32_t column = 0;
  std::int32_t row = 0;
};

/// Work and memory grow with what was seen, not with the rectangle around it.
class Edges {
 public:
  explicit Edges(const OccupancyGrid& grid) : grid_(grid) {
    is_edge_.assign(grid.probability.size(), 0);
    grid.probability.for_each_touched([this](std::size_t index, float probability) {
      if (probability < 0.5F && is_beside_unseen(cell(index))) is_edge_[index] = 1;  // not of NaN
    });
  }

  /// The cells of each edge.
  std::vector<std::vector<Cell>> groups() {
    std::vector<Cell> edge_cells;
    is_edge_.for_each_touched([&](std::size_t index, std::uint8_t is_edge) {
      if (is_edge != 0) edge_cells.push_back(cell(index));
    });
    std::vector<std::vector<Cell>> result;
    for (const Cell first : edge_cells) {
      if (is_edge(first)) result.push_back(taken_from(first));
    }
    return result;
  }

 private:
  Cell cell(std::size_t index) const {
    const auto columns = static_cast<std::size_t>(grid_.frame.columns);
    return {static_cast<std::int32_t>(index % columns), static_cast<std::int32_t>(index / columns)};
  }
  std::size_t index(Cell cell) const {
    return static_cast<std::size_t>(cell.row) * static_cast<std::size_t>(grid_.frame.columns) +
           static_cast<std::size_t>(cell.column);
  }
  bool is_inside(Cell cell) const {
    return cell.column >= 0 && cell.row >= 0 && cell.column < grid_.frame.columns && cell.row < grid_.frame.rows;
  }
  bool is_unseen(Cell cell) const {
    return !is_inside(cell) || std::isnan(std::as_const(grid_).probability[index(cell)]);
  }
  bool is_edge(Cell cell) const { return is_inside(cell) && std::as_const(is_edge_)[index(cell)] != 0; }
  bool is_beside_unseen(Cell cell) const {
    return is_unseen({cell.column - 1, cell.row}) || is_unseen({cell.column + 1, cell.row}) ||
           is_unseen({cell.column, cell.row - 1}) || is_unseen({cell.column, cell.row + 1});
  }

  /// All that hang together with one, which are no edge any more then.
  std::vector<Cell> taken_from(Cell first) {
    std::vector<Cell> cells{first};
    is_edge_[index(first)] = 0;
    for (std::size_t i = 0; i < cells.size(); ++i) {
      const Cell at = cells[i];
      for (std::int32_t row = at.row - 1; row <= at.row + 1; ++row) {
        for (std::int32_t column = at.column - 1; column <= at.column + 1; ++column) {
          const Cell next{column, row};
          if (!is_edge(next)) continue;
          is_edge_[index(next)] = 0;
          cells.push_back(next);
        }
      }
    }
    return cells;
  }

  const OccupancyGrid& grid_;
  CellValues<std::uint8_t, 64> is_edge_;
};

Eigen::Vector2d middle_m(const GridFrame& frame, Cell cell) {
  return frame.lower_left_corner_m() + frame.cell_size_m * Eigen::Vector2d(cell.column + 0.5, cell.row + 0.5);
}

Cell furthest_from(Cell cell, const std::vector<Cell>& cells) {
  return *std::max_element(cells.begin(), cells.end(), [cell](Cell a, Cell b) {
    const auto apart = [cell](Cell other) { return std::hypot(other.column - cell.column, other.row - cell.row); };
    return apart(a) < apart(b);
  });
}

}  // namespace

std::vector<OpenEdge> open_edges(const OccupancyGrid& grid, double least_m) {
  std::vector<OpenEdge> edges;
  for (const std::vector<Cell>& cells : Edges(grid).groups()) {
    const Cell from = furthest_from(cells.front(), cells);
    const OpenEdge edge{middle_m(grid.frame, from), middle_m(grid.frame, furthest_from(from, cells))};
    if ((edge.to_m - edge.from_m).norm() >= least_m) edges.push_back(edge);
  }
  const auto length_m = [](const OpenEdge& edge) { return (edge.to_m - edge.from_m).norm(); };
  std::stable_sort(edges.begin(), edges.end(),
                   [&](const OpenEdge& a, const OpenEdge& b) { return length_m(a) > length_m(b); });
  return edges;
}

}  // namespace wainscot
