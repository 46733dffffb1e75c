#include "io/overview/small_map.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <system_error>
#include <vector>

#include "core/errors.hpp"
#include "io/draw/map_picture.hpp"
#include "io/files/shown.hpp"
#include "io/grid/grid_reader.hpp"

namespace wainscot {

std::string small_map_png(const std::filesystem::path& map, int side_px) {
  // A byte a cell: a quarter of a square kilometre in cells of 5 cm, 400 MB of memory for each that is read.
  constexpr std::uintmax_t kMostBytes = 100'000'000;
  std::error_code error;
  const std::filesystem::path raster = map / "grid.pgm";
  if (const std::uintmax_t bytes = std::filesystem::file_size(raster, error); !error && bytes > kMostBytes) {
    throw InputError(shown(raster) + ": is too large for a small picture; look at it with wainscot draw");
  }
  OccupancyGrid grid = read_grid(map);
  for (float& probability : grid.probability) {
    if (!std::isnan(probability)) probability = probability > 0.5F ? 1.0F : 0.0F;
  }
  const std::int32_t longer = std::max(grid.frame.columns, grid.frame.rows);
  const std::vector<std::uint8_t> png = grid_png(grid, (longer + side_px - 1) / side_px);
  return {png.begin(), png.end()};
}

}  // namespace wainscot
