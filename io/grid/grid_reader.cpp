#include "io/grid/grid_reader.hpp"

#include <algorithm>
#include <cctype>
#include <charconv>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <string>
#include <string_view>
#include <system_error>
#include <utility>

#include <fmt/format.h>
#include <yaml-cpp/yaml.h>

#include "core/errors.hpp"
#include "core/map_extent.hpp"
#include "io/files/folder_kind.hpp"
#include "io/files/plain_file.hpp"
#include "io/files/shown.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

struct Sidecar {
  GridFrame frame;
  std::string raster;  ///< a file's name
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

void require_possible_size(const GridFrame& frame, const fs::path& file) {
  if (frame.columns >= 1 && frame.rows >= 1 && static_cast<double>(frame.columns) * frame.rows <= most_grid_cells) {
    return;
  }
  throw InputError(
      fmt::format("{}: has {} columns and {} rows, and a map has one of each at least and {:.0f} million "
                  "cells at most; build the map again",
                  shown(file), frame.columns, frame.rows, most_grid_cells / 1e6));
}

/// The raster lies beside its sidecar. A path would lead elsewhere, out of the folder too.
std::string raster_name(const std::string& written, const fs::path& file) {
  if (!written.empty() && written != "." && written != ".." && fs::path(written).filename() == written) return written;
  throw InputError(fmt::format("{}: raster is '{}', which is no name of a file beside it; build the map again",
                               shown(file), printable(written, 60)));
}

Sidecar read_sidecar(const fs::path& map_folder) {
  const fs::path file = map_folder / "grid.yaml";
  const std::string text = sidecar_text(map_folder);
  try {
    const YAML::Node yaml = YAML::Load(text);
    if (!yaml.IsMap() || !yaml["wainscot_map"]) {
      throw InputError(shown(file) + ":1: is not the sidecar of a map (it has no wainscot_map); build the map again");
    }
    constexpr int kForm = 1;
    if (const int form = yaml["wainscot_map"].as<int>(); form != kForm) throw other_form(file, form, kForm);
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
    require_possible_size(frame, file);
    return {frame, raster_name(yaml["raster"].as<std::string>(), file)};
  } catch (const YAML::Exception& error) {
    const bool has_line = error.mark.line >= 0;
    throw InputError(fmt::format("{}{}: is not the sidecar of a map, or a key of it is damaged; build the map again",
                                 shown(file), has_line ? fmt::format(":{}", error.mark.line + 1) : ""));
  }
}

/// The number at the front of a header in a Netpbm picture: after white space and comments (`#` lines), which are
/// taken off too. -1: there is none.
int header_number(std::string_view& header) {
  while (!header.empty() && (header.front() == '#' || std::isspace(static_cast<unsigned char>(header.front())) != 0)) {
    header.remove_prefix(header.front() == '#' ? std::min(header.find('\n'), header.size()) : 1);
  }
  int number = -1;
  const auto [end, fault] = std::from_chars(header.data(), header.data() + header.size(), number);
  header.remove_prefix(static_cast<std::size_t>(end - header.data()));
  return fault == std::errc() ? number : -1;
}

/// The cells of a picture of the sidecar's size, the highest row first; empty where it is of another size or form.
/// Form: https://netpbm.sourceforge.net/doc/pgm.html, raw, of one byte a cell.
std::string_view cells_of(std::string_view picture, const GridFrame& frame) {
  constexpr std::string_view kRawGrey = "P5";
  if (!picture.starts_with(kRawGrey)) return {};
  picture.remove_prefix(kRawGrey.size());
  if (header_number(picture) != frame.columns || header_number(picture) != frame.rows) return {};
  if (header_number(picture) != 255 || picture.empty()) return {};
  picture.remove_prefix(1);  // the one white space before the cells
  const auto cells = static_cast<std::size_t>(frame.columns) * static_cast<std::size_t>(frame.rows);
  return picture.size() >= cells ? picture.substr(0, cells) : std::string_view{};
}

}  // namespace

OccupancyGrid read_grid(const fs::path& map_folder) {
  constexpr std::size_t kMostHeader = 10'000;  // bytes, with what an editor of pictures may have put in as a comment
  const Sidecar sidecar = read_sidecar(map_folder);
  const auto columns = static_cast<std::size_t>(sidecar.frame.columns);
  const std::size_t size = columns * static_cast<std::size_t>(sidecar.frame.rows);
  const std::string bytes = read_plain_file(map_folder, sidecar.raster, size + kMostHeader);
  const std::string_view levels = cells_of(bytes, sidecar.frame);
  if (levels.empty()) {
    throw InputError(
        fmt::format("{}: is not the picture that grid.yaml describes, of {} columns and {} rows; build the map again",
                    shown(map_folder / sidecar.raster), sidecar.frame.columns, sidecar.frame.rows));
  }
  OccupancyGrid grid{sidecar.frame, CellProbabilities(size, std::numeric_limits<float>::quiet_NaN())};
  for (std::size_t cell = 0; cell < size; ++cell) {
    const std::size_t place = size - (cell / columns + 1) * columns + cell % columns;
    const auto level = static_cast<std::uint8_t>(levels[place]);
    if (level != 128) grid.probability[cell] = 1.0F - static_cast<float>(level) / 255.0F;
  }
  return grid;
}

}  // namespace wainscot
