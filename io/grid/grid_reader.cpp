#include "io/grid/grid_reader.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <fstream>
#include <iterator>
#include <limits>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <yaml-cpp/yaml.h>
#include <opencv2/imgcodecs.hpp>

#include "core/errors.hpp"
#include "io/files/shown.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

struct Sidecar {
  GridFrame frame;
  fs::path raster;
};

/// A raster is read with the levels that build writes. Others in the sidecar would be those of an edited picture.
void require_own_levels(const YAML::Node& levels, const fs::path& file) {
  if (!levels) return;
  for (const auto& [key, level] : {std::pair{"occupied", 0}, {"free", 255}, {"unseen", 128}}) {
    if (levels[key].as<int>() == level) continue;
    throw InputError(
        fmt::format("{}: levels.{} is not {}, as in every map; build the map again (wainscot export "
                    "--levels writes a picture with other levels)",
                    shown(file), key, level));
  }
}

Sidecar read_sidecar(const fs::path& file) {
  try {
    const YAML::Node yaml = YAML::LoadFile(file.string());
    if (!yaml.IsMap() || !yaml["wainscot_map"]) {
      throw InputError(shown(file) + ":1: is not the sidecar of a map (it has no wainscot_map); build the map again");
    }
    if (yaml["wainscot_map"].as<int>() != 1) {
      throw InputError(
          fmt::format("{}: is of a form that this program does not know; update the program", shown(file)));
    }
    const double cell_size_m = yaml["cell_size_m"].as<double>();
    if (!(cell_size_m >= 1e-3 && cell_size_m <= 100.0)) {
      throw InputError(shown(file) + ": cell_size_m is not the size of a cell in metres; build the map again");
    }
    require_own_levels(yaml["levels"], file);
    const YAML::Node corner = yaml["lower_left_corner"];
    const auto lattice = [&](const char* key) {
      const double cells = std::round(corner[key].as<double>() / cell_size_m);
      if (!(std::abs(cells) < 2e9)) {
        throw InputError(
            fmt::format("{}: {} of lower_left_corner is no place of a map; build the map again", shown(file), key));
      }
      return static_cast<std::int32_t>(cells);
    };
    const GridFrame frame{cell_size_m, lattice("x_m"), lattice("y_m"), yaml["columns"].as<std::int32_t>(),
                          yaml["rows"].as<std::int32_t>()};
    return {frame, file.parent_path() / yaml["raster"].as<std::string>()};
  } catch (const YAML::BadFile&) {
    throw InputError(
        fmt::format("{}: cannot be opened; give the folder of a map that wainscot build wrote", shown(file)));
  } catch (const YAML::Exception& error) {
    const bool has_line = error.mark.line >= 0;
    throw InputError(fmt::format("{}{}: is not the sidecar of a map, or a key of it is damaged; build the map again",
                                 shown(file), has_line ? fmt::format(":{}", error.mark.line + 1) : ""));
  }
}

/// The bytes of the shortest header (P5, two sizes, maxval) and of the cells.
std::size_t least_raster_size(const GridFrame& frame) {
  const auto cells =
      static_cast<std::size_t>(std::max(frame.columns, 1)) * static_cast<std::size_t>(std::max(frame.rows, 1));
  return fmt::formatted_size("P5\n{} {}\n255\n", frame.columns, frame.rows) + cells;
}

}  // namespace

OccupancyGrid read_grid(const fs::path& map_folder) {
  const Sidecar sidecar = read_sidecar(map_folder / "grid.yaml");
  // Decoded from memory, since OpenCV talks to standard error about files that it cannot open or that end too early.
  std::ifstream file(sidecar.raster, std::ios::binary);
  if (!file) throw InputError(shown(sidecar.raster) + ": cannot be opened; build the map again");
  const std::vector<char> bytes{std::istreambuf_iterator<char>(file), {}};
  cv::Mat levels;
  try {
    if (bytes.size() >= least_raster_size(sidecar.frame)) levels = cv::imdecode(bytes, cv::IMREAD_UNCHANGED);
  } catch (const cv::Exception&) {
    levels.release();
  }
  if (levels.type() != CV_8UC1 || levels.cols != sidecar.frame.columns || levels.rows != sidecar.frame.rows) {
    throw InputError(
        fmt::format("{}: is not the picture that grid.yaml describes; build the map again", shown(sidecar.raster)));
  }
  OccupancyGrid grid{sidecar.frame, CellProbabilities(levels.total(), std::numeric_limits<float>::quiet_NaN())};
  std::size_t cell = 0;
  for (int row = levels.rows - 1; row >= 0; --row) {
    for (int column = 0; column < levels.cols; ++column, ++cell) {
      const std::uint8_t level = levels.at<std::uint8_t>(row, column);
      if (level != 128) grid.probability[cell] = 1.0F - static_cast<float>(level) / 255.0F;
    }
  }
  return grid;
}

}  // namespace wainscot
