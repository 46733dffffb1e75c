#include "apps/compare.hpp"

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <iterator>
#include <memory>
#include <optional>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "apps/compared_side.hpp"
#include "apps/option_values.hpp"
#include "apps/print_result.hpp"
#include "core/errors.hpp"
#include "io/files/output_files.hpp"
#include "io/files/pose_table.hpp"
#include "io/log/simulated_mark.hpp"
#include "io/map/map_reader.hpp"
#include "io/number_text.hpp"
#include "io/page/comparison_page.hpp"
#include "io/results/comparison.hpp"
#include "io/results/comparison_table.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

struct CompareOptions {
  fs::path first;
  fs::path second;
  fs::path truth;
  fs::path csv;
  fs::path json;
  fs::path page;
  fs::path svg;
  int drive = 0;  ///< 0: not given
  bool replace = false;
};

/// " of drive 2", where there are several.
std::string of_drive(const ComparedSide& side) {
  return side.drives() > 1 ? fmt::format(" of drive {}", side.drive) : std::string();
}

void add_path(Comparison& comparison, const std::string& name, const std::vector<TimedPose>& path,
              const std::string& wrong_times) {
  try {
    comparison.paths.push_back(compare_path(name, path, comparison.reference_path));
  } catch (const std::invalid_argument&) {
    throw InputError(wrong_times);
  }
}

/// Where a map's frame lies in the frame of the reference.
Pose2 frame_in_reference(const ComparedSide& side, const std::vector<TimedPose>& reference) {
  return aligned_path(side.found, reference).alignment;
}

void compare_with_truth(const ComparedSide& first, const std::optional<ComparedSide>& second, const fs::path& file,
                        Comparison& comparison) {
  comparison.reference = "the true path" + of_drive(first);
  comparison.against_truth = true;
  comparison.reference_path = read_pose_table(file);
  comparison.simulated = comparison.simulated || is_marked_simulated(file.parent_path());
  const std::string wrong_times =
      fmt::format("{}: its times and those of the map do not overlap; give the truth of the map's drive",
                  printable(file.string(), 300));
  const auto add_side = [&](const ComparedSide& side, const std::string& prefix) {
    add_path(comparison, side.is_map ? prefix + "found" : side.name, side.found, wrong_times);
    if (side.is_map) add_path(comparison, prefix + "odometry alone", side.odometry, wrong_times);
  };
  add_side(first, second ? first.name + ": " : "");
  if (second) add_side(*second, second->name + ": ");
  if (first.is_map) {
    comparison.background =
        BackgroundMap{read_grid_of(first.path, first.rows), frame_in_reference(first, comparison.reference_path)};
  }
}

void compare_with_second(const ComparedSide& first, const ComparedSide& second, Comparison& comparison) {
  comparison.reference = (second.is_map ? "the path of " + second.name : second.name) +
                         (second.drives() > 1 ? fmt::format(", drive {}", second.drive) : "");
  comparison.reference_path = second.found;
  const std::string wrong_times =
      fmt::format("{}: its times and those of {} do not overlap; give two paths of one drive",
                  printable(first.path.string(), 300), printable(second.path.string(), 300));
  add_path(comparison, first.is_map ? first.name + ": found" : first.name, first.found, wrong_times);
  if (first.is_map && !second.is_map) {
    add_path(comparison, first.name + ": odometry alone", first.odometry, wrong_times);
  }
  if (second.is_map) {
    comparison.background = BackgroundMap{read_grid_of(second.path, second.rows), {}};
  } else if (first.is_map) {
    comparison.background =
        BackgroundMap{read_grid_of(first.path, first.rows), frame_in_reference(first, second.found)};
  }
}

/// Odometry alone against what the scans made of it.
void compare_with_itself(const ComparedSide& side, Comparison& comparison) {
  if (!side.is_map) {
    throw InputError(fmt::format("{}: is one path; give a second one, a map's folder or --truth to compare it with",
                                 printable(side.path.string(), 300)));
  }
  comparison.reference = "the path found" + of_drive(side);
  comparison.reference_path = side.found;
  comparison.background = BackgroundMap{read_grid_of(side.path, side.rows), {}};
  add_path(comparison, "odometry alone", side.odometry,
           fmt::format("{}: has fewer than two poses; build the map again", printable(side.path.string(), 300)));
}

/// The wall pieces whose uncertainty is known.
std::vector<WallPiece> sure_pieces(const Map& map) {
  std::vector<WallPiece> pieces;
  std::copy_if(map.wall_pieces.begin(), map.wall_pieces.end(), std::back_inserter(pieces),
               [](const WallPiece& piece) { return piece.sd_m > 0.0; });
  return pieces;
}

MapsComparison compare_maps(const ComparedSide& first, const ComparedSide& second, bool one_drive) {
  // Two maps of one drive tell by their paths where to look.
  std::optional<Pose2> near;
  if (one_drive) near = frame_in_reference(second, first.found);
  MapsComparison maps;
  maps.first = first.name;
  maps.second = second.name;
  const std::vector<WallPiece> first_pieces = sure_pieces(first.graph->map);
  const std::vector<WallPiece> second_pieces = sure_pieces(second.graph->map);
  maps.alignment = align_walls(first_pieces, second_pieces, near);
  constexpr double least_agreement = 0.3;
  if (maps.alignment.agreement < least_agreement) {
    throw PoorData(fmt::format(
        "{} and {} share too few walls to be laid over each other ({:.0f} % agree within 5 cm); are both of one house?",
        maps.first, maps.second, 100.0 * maps.alignment.agreement));
  }
  maps.walls = wall_difference(first_pieces, second_pieces, maps.alignment.first_second);
  maps.grid = grid_difference(first.graph->map.grid, second.graph->map.grid, maps.alignment.first_second);
  return maps;
}

std::string title_of(const CompareOptions& options, const ComparedSide& first,
                     const std::optional<ComparedSide>& second) {
  const std::string both = second ? first.name + " and " + second->name : first.name;
  if (!options.truth.empty()) return both + " against the true path";
  return second ? both + " compared" : first.name + ": odometry against the path found";
}

void say_which_drive(const CompareOptions& options, const ComparedSide& first,
                     const std::optional<ComparedSide>& second, bool one_drive) {
  if (!one_drive && options.drive > 0) {
    fmt::print(stderr, "Drive {} of {} is not in {}: only their walls are compared.\n", first.drive, first.name,
               second->name);
  }
  if (options.drive > 0 || !one_drive) return;
  const auto say = [](const ComparedSide& side) {
    if (side.drives() == 1) return;
    fmt::print(stderr, "{} has {} drives: the path of drive {} is compared; --drive N for another.\n", side.name,
               side.drives(), side.drive);
  };
  say(first);
  if (second) say(*second);
}

Comparison compare(const CompareOptions& options) {
  ComparedSide first = read_side(options.first);
  std::optional<ComparedSide> second;
  if (!options.second.empty()) second = read_side(options.second);
  if (second && first.name == second->name) {
    first.name = printable(first.path.string(), 60);
    second->name = printable(second->path.string(), 60);
  }
  Comparison comparison;
  comparison.title = title_of(options, first, second);
  comparison.simulated = first.simulated || (second && second->simulated);
  bool one_drive = true;
  if (second && first.is_map && second->is_map) {
    first.graph = read_map(first.path);
    second->graph = read_map(second->path);
    one_drive = choose_common_drive(first, *second, options.drive);
    comparison.maps = compare_maps(first, *second, one_drive);
  } else {
    choose_drive(first, std::max(1, options.drive));
    if (second) choose_drive(*second, std::max(1, options.drive));
  }
  say_which_drive(options, first, second, one_drive);
  if (!options.truth.empty()) {
    if (!one_drive) {
      throw InputError("the two maps are of different drives, and one truth cannot be that of both; leave out --truth");
    }
    compare_with_truth(first, second, options.truth, comparison);
  } else if (!second) {
    compare_with_itself(first, comparison);
  } else if (one_drive) {
    compare_with_second(first, *second, comparison);
  }
  return comparison;
}

std::vector<OutputFile> output_files(const CompareOptions& options, const Comparison& comparison) {
  std::vector<OutputFile> files;
  if (!options.csv.empty()) files.push_back({options.csv, comparison_csv(comparison)});
  if (!options.json.empty()) files.push_back({options.json, comparison_json(comparison)});
  if (!options.page.empty()) files.push_back({options.page, comparison_page(comparison, WAINSCOT_VERSION)});
  if (!options.svg.empty()) {
    for (ComparisonPicture& picture : comparison_pictures(comparison, PictureSize::file)) {
      files.push_back({options.svg / (picture.name + ".svg"), std::move(picture.svg)});
    }
  }
  return files;
}

void say_what_next(const CompareOptions& options, const Comparison& comparison) {
  for (const fs::path& file : {options.csv, options.json, options.page, options.svg}) {
    if (!file.empty()) fmt::print(stderr, "Written to {}.\n", printable(file.string(), 300));
  }
  constexpr double far_m = 1.0;  // no map of one drive is so wrong without a warning
  if (comparison.against_truth && comparison.paths.front().error.position_rmse_m > far_m) {
    fmt::print(stderr, "{}: {} from the true path (RMSE); is that the truth of this drive?\n",
               comparison.paths.front().name, length_text(comparison.paths.front().error.position_rmse_m));
  }
  if (options.page.empty()) {
    fmt::print(stderr, "To see where: the same command with --page comparison.html, a page for any browser.\n");
  }
}

void run_compare(const CompareOptions& options) {
  check_output_files({options.csv, options.json, options.page}, options.svg, options.replace);
  const Comparison comparison = compare(options);
  write_output_files(output_files(options, comparison), options.svg, options.replace);
  print_result(comparison_text(comparison));
  say_what_next(options, comparison);
}

}  // namespace

void add_compare(CLI::App& app) {
  auto options = std::make_shared<CompareOptions>();
  CLI::App* compare = app.add_subcommand(
      "compare",
      "Say how far paths lie from one another or from the true one, and where two maps differ. One map alone: odometry "
      "against the path found. Two: the first against the second, and their walls laid over each other; paths are "
      "compared where both have a drive in common.");
  compare->add_option("MAP", options->first, "the folder of a map, or a table of poses")->required();
  compare->add_option("OTHER", options->second,
                      "what to compare with: another map's folder, or a table time_s,x_m,y_m,heading_rad in any frame");
  compare
      ->add_option("--truth", options->truth,
                   "the true path: time_s,x_m,y_m,heading_rad in any frame, from a simulator or a tracking system")
      ->type_name("FILE");
  compare->add_option("--csv", options->csv, "write all figures as a table, metres and radians")->type_name("FILE");
  compare->add_option("--json", options->json, "write figures, differences over time and wall distances")
      ->type_name("FILE");
  compare->add_option("--page", options->page, "write a page with plots that needs no network")->type_name("FILE");
  compare->add_option("--svg", options->svg, "write the plots as SVG pictures into this folder")->type_name("FOLDER");
  compare
      ->add_option(
          "--drive", options->drive,
          "of a map of several drives, which one's path to compare; the first (of two maps: the first that both "
          "have) where not given")
      ->type_name("N")
      ->check(whole_number_from(1, 1'000'000));
  compare->add_flag("--replace", options->replace, "replace files that are there already");
  compare->footer(
      "Example:\n  wainscot compare flat --page drift.html\n"
      "  wainscot compare flat --truth data/demo/drive/truth.csv\n"
      "  # one drive, built with and without an option\n"
      "  wainscot compare without flat --page loops.html\n"
      "  # two days of one house\n"
      "  wainscot compare monday-map friday-map --csv changes.csv\n"
      "  # a map of several drives: the second one's path\n"
      "  wainscot compare flat-2 --drive 2");
  compare->callback([options] { run_compare(*options); });
}

}  // namespace wainscot
