#include "io/grid_reader.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <fstream>
#include <iterator>
#include <limits>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <yaml-cpp/yaml.h>
#include <opencv2/imgcodecs.hpp>

#include "core/errors.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

std::string shown(const fs::path& path) { return printable(path.string(), 300); }

struct Sidecar {
  GridFrame frame;
  fs::path raster;
};

Sidecar read_sidecar(const fs::path& file) {
  try {
    const YAML::Node yaml = YAML::LoadFile(file.string());
    if (yaml["wainscot_map"].as<int>() != 1) {
      throw InputError(
          fmt::format("{}: is of a form that this program does not know; update the program", shown(file)));
    }
    const double cell_size_m = yaml["cell_size_m"].as<double>();
    const YAML::Node corner = yaml["lower_left_corner"];
    const auto lattice = [&](const char* key) {
      return static_cast<std::int32_t>(std::lround(corner[key].as<double>() / cell_size_m));
    };
    const GridFrame frame{cell_size_m, lattice("x_m"), lattice("y_m"), yaml["columns"].as<std::int32_t>(),
                          yaml["rows"].as<std::int32_t>()};
    if (!(frame.cell_size_m > 0.0)) throw InputError(fmt::format("{}: cell_size_m must be positive", shown(file)));
    return {frame, file.parent_path() / yaml["raster"].as<std::string>()};
  } catch (const YAML::BadFile&) {
    throw InputError(
        fmt::format("{}: cannot be opened; give the folder of a map that wainscot build wrote", shown(file)));
  } catch (const YAML::Exception& error) {
    throw InputError(fmt::format("{}:{}: is not the sidecar of a map ({}); build the map again", shown(file),
                                 std::max(error.mark.line, 0) + 1, error.msg));
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
  OccupancyGrid grid{sidecar.frame, {}};
  grid.probability.reserve(levels.total());
  for (int row = levels.rows - 1; row >= 0; --row) {
    for (int column = 0; column < levels.cols; ++column) {
      const std::uint8_t level = levels.at<std::uint8_t>(row, column);
      grid.probability.push_back(level == 128 ? std::numeric_limits<float>::quiet_NaN()
                                              : 1.0F - static_cast<float>(level) / 255.0F);
    }
  }
  return grid;
}

}  // namespace wainscot
