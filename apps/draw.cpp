#include "apps/draw.hpp"

#include <algorithm>
#include <cctype>
#include <cstdint>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "apps/option_values.hpp"
#include "core/errors.hpp"
#include "core/occupancy_grid.hpp"
#include "io/draw/map_picture.hpp"
#include "io/draw/palette.hpp"
#include "io/draw/plan_svg.hpp"
#include "io/files/whole_file.hpp"
#include "io/log/simulated_mark.hpp"
#include "io/map/map_reader.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

struct DrawOptions {
  std::filesystem::path map;
  std::filesystem::path out;
  int width_px = 1400;
  bool no_odometry = false;
  bool replace = false;
};

/// The poses of each drive.
struct Paths {
  std::vector<std::vector<Pose2>> found;
  std::vector<std::vector<Pose2>> odometry;
};

Paths paths_of(const std::vector<TrajectoryRow>& rows) {
  Paths paths;
  int drive = 0;
  for (const TrajectoryRow& row : rows) {
    if (row.drive != drive) {
      paths.found.emplace_back();
      paths.odometry.emplace_back();
    }
    drive = row.drive;
    paths.found.back().push_back(row.pose);
    paths.odometry.back().push_back(row.odometry);
  }
  return paths;
}

enum class PictureKind { png, svg };

PictureKind kind_of(const std::filesystem::path& out) {
  std::string ending = out.extension().string();
  std::transform(ending.begin(), ending.end(), ending.begin(), [](unsigned char c) { return std::tolower(c); });
  if (ending == ".png") return PictureKind::png;
  if (ending == ".svg") return PictureKind::svg;
  throw InputError(
      fmt::format("{}: the picture is a PNG or SVG file; let its name end in .png or .svg", printable(out.string())));
}

std::string draw_svg(const DrawOptions& options, const OccupancyGrid& grid, const Paths& paths, bool simulated) {
  PlanDrawing drawing;
  const std::filesystem::path plain = options.map.has_filename() ? options.map : options.map.parent_path();
  drawing.title = "Plan of " + printable(plain.filename().string(), 100);
  drawing.areas = plan_areas(grid);
  drawing.drives = paths.found.size();
  for (std::size_t i = 0; i < paths.found.size(); ++i) {
    const std::string name = paths.found.size() == 1 ? "path found" : i < 3 ? fmt::format("drive {}", i + 1) : "";
    drawing.paths.push_back({name, std::string(colour_of_drive(i + 1)), paths.found[i]});
  }
  if (!options.no_odometry) {
    for (const std::vector<Pose2>& path : paths.odometry) {
      drawing.paths.push_back({&path == &paths.odometry.front() ? "odometry alone" : "", "odometry", path});
    }
  }
  drawing.simulated = simulated;
  drawing.width_px = options.width_px;
  return plan_svg(drawing, SvgUse::file);
}

std::string draw_png(const DrawOptions& options, const OccupancyGrid& grid, const Paths& paths, bool simulated) {
  PictureOptions picture_options;
  picture_options.width_px = options.width_px;
  picture_options.odometry = !options.no_odometry;
  picture_options.simulated = simulated;
  const std::vector<std::uint8_t> picture = map_picture_png(grid, paths.found, paths.odometry, picture_options);
  return {picture.begin(), picture.end()};
}

void run_draw(const DrawOptions& options) {
  check_whole_file_destination(options.out, options.replace);
  const PictureKind kind = kind_of(options.out);
  const std::vector<TrajectoryRow> rows = read_paths(options.map);
  const OccupancyGrid grid = read_grid_of(options.map, rows);
  const Paths paths = paths_of(rows);
  const bool simulated = is_map_of_simulated_drive(options.map);
  const auto draw = kind == PictureKind::svg ? draw_svg : draw_png;
  write_whole_file(options.out, draw(options, grid, paths, simulated), options.replace);
  fmt::print(stderr, "Written to {}{}. Its coordinates are those that wainscot measure takes.\n",
             printable(options.out.string(), 300), simulated ? " (simulated)" : "");
}

}  // namespace

void add_draw(CLI::App& app) {
  auto options = std::make_shared<DrawOptions>();
  CLI::App* draw = app.add_subcommand(
      "draw", "Draw a map with both paths of each drive, a scale bar and coordinates, as a PNG or an SVG picture.");
  draw->add_option("MAP", options->map, "the folder of a map")->required();
  draw->add_option("--out", options->out, "the picture, to be made: .svg for lines that stay sharp, .png for pixels")
      ->type_name("PICTURE.svg|PICTURE.png")
      ->required();
  draw->add_option("--width", options->width_px, "about how many pixels wide")
      ->type_name("PIXELS")
      ->check(whole_number_from(300, 10000))
      ->capture_default_str();
  draw->add_flag("--no-odometry", options->no_odometry, "leave out the path by odometry alone");
  draw->add_flag("--replace", options->replace, "replace the file that stands at --out");
  draw->footer("Example:\n  wainscot draw flat --out plan.svg\n  wainscot draw flat --out plan.png --width 1600");
  draw->callback([options] { run_draw(*options); });
}

}  // namespace wainscot
