#include "apps/export.hpp"

#include <array>
#include <charconv>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <numbers>
#include <optional>
#include <set>
#include <stdexcept>
#include <string>
#include <system_error>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "apps/export_rooms.hpp"
#include "apps/option_values.hpp"
#include "apps/print_result.hpp"
#include "core/errors.hpp"
#include "graph/compare/standing_pieces.hpp"
#include "graph/measure/lineless_walls.hpp"
#include "graph/measure/wall_lines.hpp"
#include "io/draw/plan_svg.hpp"
#include "io/draw/wall_plan.hpp"
#include "io/draw/wall_plan_dxf.hpp"
#include "io/files/file_reader.hpp"
#include "io/files/output_files.hpp"
#include "io/files/text_template.hpp"
#include "io/grid/clearance.hpp"
#include "io/grid/grid_image.hpp"
#include "io/map/map_reader.hpp"
#include "io/map_origin.hpp"
#include "io/number_text.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

struct ExportOptions {
  fs::path map;
  fs::path out;
  std::string image = "png";
  std::string levels = "0,255,128";
  std::string clearance;  ///< empty: not wanted
  fs::path rooms;         ///< empty: none are named
  std::vector<fs::path> templates;
  bool replace = false;
};

constexpr const char* driving_caution =
    "Before a robot drives by it: check the wheels' direction and the stop switch with the wheels lifted, then drive "
    "slowly at first, a hand at the switch, people and pets away.";

/// The option's checks leave nothing but these three.
ImageKind kind_of(const std::string& name) {
  if (name == "tif") return ImageKind::tif;
  return name == "pgm" ? ImageKind::pgm : ImageKind::png;
}

/// "OCCUPIED,FREE,UNSEEN". nullopt: not three different whole numbers from 0 to 255.
std::optional<GreyLevels> parsed_levels(const std::string& text) {
  std::array<std::uint8_t, 3> levels{};
  const char* at = text.data();
  const char* const end = text.data() + text.size();
  for (std::size_t i = 0; i < levels.size(); ++i) {
    if (i > 0 && (at == end || *at++ != ',')) return std::nullopt;
    const auto [next, error] = std::from_chars(at, end, levels[i]);
    if (error != std::errc()) return std::nullopt;
    at = next;
  }
  if (at != end || std::set<std::uint8_t>(levels.begin(), levels.end()).size() != levels.size()) return std::nullopt;
  return GreyLevels{levels[0], levels[1], levels[2]};
}

std::string check_levels(const std::string& text) {
  return parsed_levels(text) ? ""
                             : printable(text) + " is not three different whole numbers from 0 to 255, as 0,255,128";
}

std::vector<Placeholder> placeholders_of(const GridFrame& frame, const GreyLevels& levels, const std::string& image,
                                         const RoomPlan& rooms) {
  const Eigen::Vector2d corner = frame.lower_left_corner_m();
  const auto number = [](double value) { return short_text(value, 9); };
  std::vector<Placeholder> known = {{"image", image},
                                    {"cell_size_m", number(frame.cell_size_m)},
                                    {"columns", std::to_string(frame.columns)},
                                    {"rows", std::to_string(frame.rows)},
                                    {"width_m", number(frame.columns * frame.cell_size_m)},
                                    {"height_m", number(frame.rows * frame.cell_size_m)},
                                    {"corner_x_m", number(corner.x())},
                                    {"corner_y_m", number(corner.y())},
                                    {"heading_rad", "0"},
                                    {"heading_deg", "0"},
                                    {"occupied_level", std::to_string(levels.occupied)},
                                    {"free_level", std::to_string(levels.free)},
                                    {"unseen_level", std::to_string(levels.unseen)},
                                    {"caution", map_caution}};
  std::vector<Placeholder> lists = room_placeholders(rooms);
  known.insert(known.end(), lists.begin(), lists.end());
  return known;
}

/// sidecar.yaml.template becomes sidecar.yaml; other names stay.
fs::path filled_name(const fs::path& file) {
  const fs::path name = file.filename();
  return name.extension() == ".template" ? name.stem() : name;
}

void add_sidecars(const ExportOptions& options, const GridFrame& frame, const GreyLevels& levels,
                  const std::string& image, const RoomPlan& rooms, std::vector<OutputFile>& files) {
  constexpr std::size_t largest_template = 1'000'000;
  const std::vector<Placeholder> known = placeholders_of(frame, levels, image, rooms);
  for (const fs::path& file : options.templates) {
    const std::string text = read_small_file(file, largest_template, nullptr);
    files.push_back({options.out / filled_name(file), fill_template(text, printable(file.string(), 300), known)});
  }
}

void add_clearance(const ExportOptions& options, const OccupancyGrid& grid, std::vector<OutputFile>& files) {
  const ImageKind kind = kind_of(options.clearance);
  const std::string raster = std::string("clearance.") + image_ending(kind);
  try {
    files.push_back({options.out / raster, clearance_image(clearance_of(grid), kind)});
  } catch (const std::invalid_argument&) {
    throw PoorData(fmt::format("{}: the map has no wall, so there is nothing to keep clear of; leave out --clearance",
                               printable(options.map.string(), 300)));
  }
  files.push_back({options.out / (std::string("clearance.") + world_file_ending(kind)), world_file(grid.frame)});
  files.push_back({options.out / "clearance.yaml", clearance_yaml(grid.frame, raster, kind)});
}

WallPlan plan_of(const ExportOptions& options, const SavedMap& saved) {
  WallPlan plan;
  const fs::path plain = options.map.has_filename() ? options.map : options.map.parent_path();
  plan.title = "Plan of " + printable(plain.filename().string(), 100);
  plan.walls = wall_lines(standing_pieces(saved.map.wall_pieces, saved.map.grid));
  int drive = 0;
  for (const TrajectoryRow& row : saved.map.trajectory) {
    if (row.drive != drive) plan.paths.emplace_back();
    drive = row.drive;
    plan.paths.back().push_back(row.pose);
  }
  plan.floor = plan_areas(saved.map.grid).front();
  plan.lineless = lineless_walls(saved.map.grid, plan.walls);
  plan.simulated = saved.origin.simulated;
  return plan;
}

std::vector<PlanRoom> drawn_rooms(const RoomPlan& plan) {
  std::vector<PlanRoom> rooms;
  for (std::size_t i = 0; i < plan.floors.size(); ++i) {
    rooms.push_back({plan.labels.names[i], plan.floors[i].widest_m, plan.floors[i].outline});
  }
  return rooms;
}

void say_what_has_gone(const Map& map) {
  const double gone_m = gone_length_m(map.wall_pieces, map.grid);
  if (gone_m <= 0.0) return;
  fmt::print(stderr,
             "Not among them: {} of faces that were gone when the robot last looked; where they stood, the grid has "
             "free floor. "
             "It shows the house as it was seen last.\n",
             length_text(gone_m));
}

void say_what_has_no_line(const LinelessWalls& lineless) {
  if (lineless.groups == 0) return;
  fmt::print(stderr,
             "Too little was seen of {} of wall for a line, in {}: the image has it, plan.svg shows its cells in a "
             "lighter colour, plan.dxf and walls.csv are without it.\n",
             length_text(lineless.length_m), count_text(static_cast<std::size_t>(lineless.groups), "place"));
}

void run_export(const ExportOptions& options) {
  if (options.out.empty()) throw InputError("the name of the folder is empty; give a name as --out");
  std::error_code ignored;
  if (fs::equivalent(options.map, options.out, ignored)) {
    throw InputError(printable(options.out.string(), 300) + ": is the map's own folder; choose another --out");
  }
  check_output_files({}, options.out, options.replace);
  std::vector<std::string> warnings;
  std::optional<RoomList> list;  // read before the map is: whatever is wrong in it
  if (!options.rooms.empty()) list = read_rooms(options.rooms, warnings);
  const SavedMap saved = read_map(options.map);
  const RoomExport rooms = list ? export_rooms(saved, *list) : RoomExport{{}, saved.map.grid, {}};
  warnings.insert(warnings.end(), rooms.warnings.begin(), rooms.warnings.end());
  const OccupancyGrid& grid = rooms.grid;
  WallPlan plan = plan_of(options, saved);
  plan.rooms = drawn_rooms(rooms.plan);
  const GreyLevels levels = parsed_levels(options.levels).value();
  const ImageKind kind = kind_of(options.image);
  const std::string image = std::string("map.") + image_ending(kind);
  std::vector<OutputFile> files = {
      {options.out / image, grid_image(grid, levels, kind)},
      {options.out / (std::string("map.") + world_file_ending(kind)), world_file(grid.frame)},
      {options.out / "plan.svg", wall_plan_svg(plan)},
      {options.out / "plan.dxf", wall_plan_dxf(plan)},
      {options.out / "walls.csv", wall_plan_csv(plan)},
      {options.out / "caution.txt",
       fmt::format("{}{}\n{}\n", plan.simulated ? "This map is of a simulated drive.\n" : "", map_caution,
                   driving_caution)}};
  if (!options.clearance.empty()) add_clearance(options, grid, files);
  for (OutputFile& table : room_tables(rooms.plan, options.out)) files.push_back(std::move(table));
  add_sidecars(options, grid.frame, levels, image, rooms.plan, files);
  write_output_files(files, options.out, options.replace);
  for (const OutputFile& output : files) print_result(printable(output.file.string(), 300) + "\n");
  print_result(room_words(rooms.plan));
  for (const std::string& warning : warnings) fmt::print(stderr, "Warning: {}\n", warning);
  fmt::print(stderr, "{} in {}{}.\n", count_text(plan.walls.size(), "wall"), printable(options.out.string(), 300),
             plan.simulated ? " (simulated)" : "");
  say_what_has_gone(saved.map);
  say_what_has_no_line(plan.lineless);
  fmt::print(stderr, "Look at {}, or open {} in a drawing program: its units are metres.\nCaution: {} {}\n",
             shell_word((options.out / "plan.svg").string()), shell_word((options.out / "plan.dxf").string()),
             map_caution, driving_caution);
}

}  // namespace

void add_export(CLI::App& app) {
  auto options = std::make_shared<ExportOptions>();
  CLI::App* command = app.add_subcommand(
      "export",
      "Hand a map on to other programs: an image with a world file, plans of fitted walls as SVG and DXF, the walls as "
      "a table, and sidecars of any form from your own templates. All lengths are metres of the map frame.");
  command->add_option("MAP", options->map, "the folder of a map")->required();
  command->add_option("--out", options->out, "the folder for the files, made where it is not there")
      ->type_name("FOLDER")
      ->required();
  command->add_option("--image", options->image, "what kind of image the grid becomes")
      ->type_name("KIND")
      ->check(one_of({"png", "tif", "pgm"}))
      ->capture_default_str();
  command
      ->add_option("--levels", options->levels,
                   "grey levels of the image from 0 to 255; what lies between wall and free floor is between theirs")
      ->type_name("WALL,FREE,UNSEEN")
      ->check(check_levels)
      ->capture_default_str();
  command
      ->add_option("--template", options->templates,
                   "a text of yours with placeholders such as {{cell_size_m}}, to be filled in; may be given several "
                   "times; a name's ending .template is taken off")
      ->type_name("FILE");
  command
      ->add_option("--clearance", options->clearance,
                   "also write each cell's distance to the nearest wall: tif in metres (floating point), or pgm in "
                   "millimetres (16 bits)")
      ->type_name("KIND")
      ->check(one_of({"tif", "pgm"}));
  command
      ->add_option("--rooms", options->rooms,
                   "a table kind,name,x_m,y_m of rooms (kind room: a point in it; room_corner: its corners), of areas "
                   "where no robot shall go (no_go_corner) and of doors that are to be handed on door_open or "
                   "door_closed; the map itself stays as it is")
      ->type_name("FILE");
  command->add_flag("--replace", options->replace, "replace files that are there already");
  std::string names;
  for (const Placeholder& placeholder : placeholders_of({}, {}, "", {})) {
    names += (names.empty() ? "{{" : ", {{") + placeholder.name + "}}";
  }
  command->footer(
      "Placeholders: " + names +
      ". The corner is the outer one of the lower left cell, in the map's frame; the heading, of the image's rows, is "
      "always 0.\n" +
      std::string("Caution: ") + map_caution + " " + driving_caution +
      "\n\nExample:\n  wainscot export flat --out flat-plans\n"
      "  wainscot export flat --out for-robot --image pgm --levels 10,240,100 --template robot.txt.template "
      "--clearance tif\n"
      "  wainscot export flat --out rooms-of-flat --rooms rooms.csv");
  command->callback([options] { run_export(*options); });
}

}  // namespace wainscot
