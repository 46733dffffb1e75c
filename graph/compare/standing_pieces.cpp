#include "graph/compare/standing_pieces.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <optional>

namespace wainscot {
namespace {

/// nullopt: not on the grid. NaN: never seen.
std::optional<double> occupied_at(const OccupancyGrid& grid, const Eigen::Vector2d& place_m) {
  const double column = std::floor(place_m.x() / grid.frame.cell_size_m) - grid.frame.first_column;
  const double row = std::floor(place_m.y() / grid.frame.cell_size_m) - grid.frame.first_row;
  if (!(column >= 0.0 && row >= 0.0 && column < grid.frame.columns && row < grid.frame.rows)) return std::nullopt;
  const auto cell =
      static_cast<std::size_t>(row) * static_cast<std::size_t>(grid.frame.columns) + static_cast<std::size_t>(column);
  return static_cast<double>(grid.probability[cell]);
}

}  // namespace

bool stands(const WallPiece& piece, const OccupancyGrid& grid, const StandingPiecesOptions& options) {
  const Eigen::Vector2d normal(std::cos(piece.normal_rad), std::sin(piece.normal_rad));
  const Eigen::Vector2d along(-normal.y(), normal.x());
  const double step_m = 0.5 * grid.frame.cell_size_m;  // passes no cell by
  const int steps = static_cast<int>(std::ceil(piece.half_length_m / step_m));
  const int steps_across = static_cast<int>(std::ceil(2.0 * options.reach_cells));
  bool on_grid = false;
  for (int i = -steps; i <= steps; ++i) {
    for (int k = -steps_across; k <= steps_across; ++k) {
      const double at_m = std::clamp(i * step_m, -piece.half_length_m, piece.half_length_m);
      const auto occupied = occupied_at(grid, piece.middle_m + at_m * along + k * step_m * normal);
      if (!occupied) continue;
      on_grid = true;
      if (!(*occupied < options.clear)) return true;
    }
  }
  return !on_grid;
}

bool is_free_between(const Eigen::Vector2d& from_m, const Eigen::Vector2d& to_m, double apart_m,
                     const OccupancyGrid& grid, const StandingPiecesOptions& options) {
  const double length_m = (to_m - from_m).norm();
  const Eigen::Vector2d way = (to_m - from_m) / std::max(length_m, 1e-9);
  const double step_m = 0.5 * grid.frame.cell_size_m;  // passes no cell by
  for (double at_m = apart_m; at_m <= length_m - apart_m; at_m += step_m) {
    const auto occupied = occupied_at(grid, from_m + at_m * way);
    if (occupied && !(*occupied < options.clear)) return false;
  }
  return true;
}

std::vector<WallPiece> standing_pieces(const std::vector<WallPiece>& pieces, const OccupancyGrid& grid,
                                       const StandingPiecesOptions& options) {
  std::vector<WallPiece> standing;
  std::copy_if(pieces.begin(), pieces.end(), std::back_inserter(standing),
               [&](const WallPiece& piece) { return stands(piece, grid, options); });
  return standing;
}

double gone_length_m(const std::vector<WallPiece>& pieces, const OccupancyGrid& grid,
                     const StandingPiecesOptions& options) {
  double length_m = 0.0;
  for (const WallPiece& piece : pieces) {
    // Of what one return a scan lies on, nobody has seen a face: legs and edges are hit so, and the void beside them.
    if (piece.returns >= 2 * piece.nodes && !stands(piece, grid, options)) length_m += 2.0 * piece.half_length_m;
  }
  return length_m;
}

}  // namespace wainscot
