#include "apps/build.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <numbers>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>

#include "apps/account.hpp"
#include "apps/laid_tapes.hpp"
#include "apps/mapping/drive_map.hpp"
#include "apps/mapping_run.hpp"
#include "apps/option_values.hpp"
#include "apps/progress_bar.hpp"
#include "apps/timings.hpp"
#include "core/errors.hpp"
#include "core/map_extent.hpp"
#include "io/files/output_files.hpp"
#include "io/files/whole_file.hpp"
#include "io/map/map_folder.hpp"
#include "io/number_reader.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

struct BuildOptions {
  std::filesystem::path drive;
  std::filesystem::path out;
  std::filesystem::path timings;  ///< empty: not wanted
  double cell_size_m = 0.05;
  int threads = 0;
  bool no_loop_closure = false;
  bool upright = false;
  std::string origin;           ///< empty: not given
  std::filesystem::path tapes;  ///< empty: not given
  double tape_sd_m = usual_tape_sd_m;
  bool replace = false;
  bool even_so = false;
  bool quiet = false;
};

/// "X,Y,DEG".
Pose2 first_pose_of(const std::string& text) {
  std::vector<double> numbers;
  for (std::size_t begin = 0; begin <= text.size();) {
    const std::size_t comma = std::min(text.find(',', begin), text.size());
    double number = 0.0;
    if (read_number(std::string_view(text).substr(begin, comma - begin), number) != NumberFault::none) break;
    numbers.push_back(number);
    begin = comma + 1;
    if (comma == text.size() && numbers.size() == 3) {
      if (std::hypot(numbers[0], numbers[1]) > farthest_house_m) {
        throw InputError(fmt::format(
            "--origin {}: the house may lie {:.0f} km from the frame's origin at most, or its grid would fall "
            "apart; subtract a round number from both coordinates",
            printable(text), farthest_house_m / 1000.0));
      }
      return {numbers[0], numbers[1], wrap_angle(numbers[2] * std::numbers::pi / 180.0)};
    }
  }
  throw InputError(fmt::format(
      "--origin {}: write X,Y,DEG without spaces: where the robot stood at the first scan, in metres, and which way it "
      "looked, in degrees, as 2.5,-1,90",
      printable(text)));
}

/// Before the long work: whatever would stop the writing at the end.
void check_outputs(const BuildOptions& options) {
  require_different_names({options.out, options.timings});
  check_map_destination(options.out, options.replace);
  if (!options.timings.empty()) check_whole_file_destination(options.timings, options.replace);
}

void run_build(const BuildOptions& options) {
  check_outputs(options);
  Timings timings;
  ProgressBar bar(!options.quiet);
  DriveMapOptions job;
  job.mapper.cell_size_m = options.cell_size_m;
  job.mapper.threads = options.threads;
  job.mapper.close_loops = !options.no_loop_closure;
  job.mapper.frame.upright = options.upright;
  if (!options.origin.empty()) job.mapper.frame.first_pose = first_pose_of(options.origin);
  if (!options.tapes.empty()) job.tapes = laid_tapes(options.tapes, options.tape_sd_m, job.tape_warnings);
  job.remedies.tape_sd_m = options.tape_sd_m;
  job.even_so = options.even_so;
  job.replace = options.replace;
  job.progress = shown_progress(bar, timings);
  job.no_map = [&](const Drive& drive) {
    bar.wipe();
    for (const std::string& warning : drive.warnings) {
      if (!options.quiet) std::fputs(("Warning: " + warning + "\n").c_str(), stderr);
    }
  };
  const DriveMap made = map_drive(options.drive, options.out, WAINSCOT_VERSION, job);
  bar.wipe();

  const std::string json = timings.json();
  if (!options.timings.empty()) write_whole_file(options.timings, json, true);
  if (!options.quiet) {
    const std::string text = account(made.map, made.drive, made.origin, options.drive, options.out);
    std::fputs((text + took_text(timings)).c_str(), stderr);
  }
  require_usable(made.map, made.drive, options.out);
}

}  // namespace

void add_cell_size(CLI::App& command, double& metres) {
  command.add_option("--cell-size", metres, "side of a cell of the grid, in metres")
      ->type_name("METRES")
      ->check(number_from(0.01, 0.5, "metres"))
      ->capture_default_str();
}

void add_build(CLI::App& app) {
  auto options = std::make_shared<BuildOptions>();
  CLI::App* build = app.add_subcommand("build", "Make a map from a recorded drive.");
  build->add_option("DRIVE", options->drive, "the folder of a recorded drive: robot.yaml, wheels.csv, scans.csv ...")
      ->required();
  build->add_option("--out", options->out, "the map's folder, to be made; written whole or not at all")
      ->type_name("MAP")
      ->required();
  add_cell_size(*build, options->cell_size_m);
  build
      ->add_option("--threads", options->threads,
                   "how many processors to use; all where not given. The map is the same")
      ->type_name("N")
      ->check(whole_number_from(1, 1024));
  build->add_flag("--no-loop-closure", options->no_loop_closure,
                  "do not recognise places that the robot came back to; for comparison only");
  CLI::Option* const upright =
      build->add_flag("--upright", options->upright, "turn the map so that most walls run along its axes");
  build
      ->add_option("--origin", options->origin,
                   "where the robot stood at the first scan, in a frame of yours: metres and degrees")
      ->type_name("X,Y,DEG")
      ->excludes(upright);
  build
      ->add_option("--tapes", options->tapes,
                   "lengths measured with a tape, which then hold the map's scale: name,x1_m,y1_m,x2_m,y2_m,tape_m; "
                   "the points, near the two faces, read off a map built without")
      ->type_name("FILE");
  add_tape_sd(*build, options->tape_sd_m);
  build->add_flag("--replace", options->replace, "replace the map that stands at --out");
  build->add_option("--timings", options->timings, "also write the running times of the stages to this file (JSON)")
      ->type_name("FILE");
  build->add_flag("--even-so", options->even_so,
                  "map the drive also where a fault in it, or in robot.yaml, would spoil the map for sure");
  build->add_flag("--quiet", options->quiet, "no progress bar and no account, only errors");
  build->footer(
      "Example:\n  wainscot build data/demo/drive --out flat --cell-size 0.05\n  wainscot build my-drive --out flat "
      "--upright\n  wainscot build my-drive --out flat-2 --tapes tapes.csv");
  build->callback([options] { run_build(*options); });
}

}  // namespace wainscot
