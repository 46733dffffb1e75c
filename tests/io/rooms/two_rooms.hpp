#pragma once

// A grid of two rooms with a door between them, in cells of 5 cm. Invented.

#include <cstddef>
#include <limits>

#include "core/occupancy_grid.hpp"

namespace wainscot {

/// The rooms reach from (0.05, 0.05) to (2.45, 2.95) and from (2.55, 0.05) to (4.95, 2.95); the wall between them has a
/// door from (2.5, 1.0) to (2.5, 1.8). Around it all nothing was seen.
class TwoRooms {
 public:
  TwoRooms() {
    fill(-0.25, -0.25, 5.25, 3.25, std::numeric_limits<float>::quiet_NaN());
    fill(0.0, 0.0, 5.0, 3.0, 0.95F);
    fill(0.05, 0.05, 2.45, 2.95, 0.02F);
    fill(2.55, 0.05, 4.95, 2.95, 0.02F);
    fill(2.45, 1.0, 2.55, 1.8, 0.02F);
  }

  /// Cells whose middles lie in the rectangle, corners on the lattice of cells.
  void fill(double low_x_m, double low_y_m, double high_x_m, double high_y_m, float probability) {
    for (std::size_t cell = 0; cell < grid.probability.size(); ++cell) {
      const double x_m = (static_cast<double>(cell % columns()) - 5.0 + 0.5) * grid.frame.cell_size_m;
      const double y_m = (static_cast<double>(cell / columns()) - 5.0 + 0.5) * grid.frame.cell_size_m;
      if (x_m > low_x_m && x_m < high_x_m && y_m > low_y_m && y_m < high_y_m) grid.probability[cell] = probability;
    }
  }

  std::size_t cell_at(double x_m, double y_m) const {
    const auto number = [&](double place_m) {
      return static_cast<std::size_t>(place_m / grid.frame.cell_size_m + 5.0);
    };
    return number(y_m) * columns() + number(x_m);
  }

  OccupancyGrid grid{{0.05, -5, -5, 110, 70}, CellProbabilities(110 * 70, 0.0F)};

 private:
  std::size_t columns() const { return static_cast<std::size_t>(grid.frame.columns); }
};

}  // namespace wainscot
