#include "io/overview/small_map.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <system_error>

#include "core/errors.hpp"
#include "core/occupancy_grid.hpp"
#include "io/files/shown.hpp"
#include "io/grid/grid_image.hpp"
#include "io/grid/grid_reader.hpp"

namespace wainscot {
namespace {

/// So many cells by as many in one: a wall where one of them is, else floor where one of them was seen.
OccupancyGrid shrunk(const OccupancyGrid& grid, std::int32_t cells) {
  const auto fewer = [cells](std::int32_t count) { return std::max(1, (count + cells - 1) / cells); };
  const GridFrame frame{grid.frame.cell_size_m * cells, 0, 0, fewer(grid.frame.columns), fewer(grid.frame.rows)};
  const auto columns = static_cast<std::size_t>(frame.columns);
  const std::size_t pixels = columns * static_cast<std::size_t>(frame.rows);
  OccupancyGrid small{frame, CellProbabilities(pixels, std::numeric_limits<float>::quiet_NaN())};
  auto probability = grid.probability.begin();
  for (std::int32_t row = 0; row < grid.frame.rows; ++row) {
    const std::size_t begin = static_cast<std::size_t>(row / cells) * columns;
    for (std::int32_t column = 0; column < grid.frame.columns; ++column, ++probability) {
      if (std::isnan(*probability)) continue;
      float& pixel = small.probability[begin + static_cast<std::size_t>(column / cells)];
      if (!(pixel > 0.5F)) pixel = *probability > 0.5F ? 1.0F : 0.0F;
    }
  }
  return small;
}

}  // namespace

std::string small_map_png(const std::filesystem::path& map, int side_px) {
  // A byte a cell: a quarter of a square kilometre in cells of 5 cm, 400 MB of memory for each that is read.
  constexpr std::uintmax_t kMostBytes = 100'000'000;
  constexpr GreyLevels kLevels{0, 255, 228};
  std::error_code error;
  const std::filesystem::path raster = map / "grid.pgm";
  if (const std::uintmax_t bytes = std::filesystem::file_size(raster, error); !error && bytes > kMostBytes) {
    throw InputError(shown(raster) + ": is too large for a small picture; look at it with wainscot draw");
  }
  const OccupancyGrid grid = read_grid(map);
  const std::int32_t longer = std::max(grid.frame.columns, grid.frame.rows);
  return grid_image(shrunk(grid, (longer + side_px - 1) / side_px), kLevels, ImageKind::png);
}

}  // namespace wainscot
