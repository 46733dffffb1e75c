#include "apps/locate.hpp"

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "apps/print_result.hpp"
#include "apps/progress_bar.hpp"
#include "core/errors.hpp"
#include "graph/known/locate.hpp"
#include "graph/known/whole_drive.hpp"
#include "graph/motion/usable_drive.hpp"
#include "io/log/drive_reader.hpp"
#include "io/log/simulated_mark.hpp"
#include "io/map/known_map.hpp"
#include "io/map/map_reader.hpp"
#include "io/number_text.hpp"
#include "io/results/location_csv.hpp"

namespace wainscot {
namespace {

constexpr const char* caution =
    "Caution: an answer is only as good as the map, and a 2D lidar sees one plane only (no stairs going down, no table "
    "tops, no glass, no low objects). Never let it be the only thing that keeps a robot from falling or from hitting "
    "someone: drive slowly at first, a hand at the stop switch, people and pets away.";

struct LocateOptions {
  std::filesystem::path map;
  std::filesystem::path drive;
  bool all = false;
  bool as_driving = false;
  bool quiet = false;
};

std::size_t count_of(const std::vector<LocatedScan>& located, Answer answer) {
  return static_cast<std::size_t>(std::count_if(
      located.begin(), located.end(), [answer](const LocatedScan& scan) { return scan.location.answer == answer; }));
}

void tell(const std::vector<LocatedScan>& located, const KnownRobot& robot) {
  fmt::print(stderr, "{}\n",
             robot.drive.robot.left_out.found
                 ? "This robot.yaml leaves out the wheels' constants: those that the drive itself shows are used."
             : robot.is_of_the_map
                 ? "This robot.yaml is that of the map: what the map found of the robot's constants is used."
                 : "This robot.yaml is not that of the map: the lidar's mounting and delay are taken as it states them "
                   "(wainscot calibrate finds them).");
  const std::size_t found = count_of(located, Answer::found);
  fmt::print(stderr, "{}: {} found, {} ambiguous, {} lost.\n", count_text(located.size(), "scan"), whole_text(found),
             whole_text(count_of(located, Answer::ambiguous)), whole_text(count_of(located, Answer::lost)));
  const auto first = std::find_if(located.begin(), located.end(),
                                  [](const LocatedScan& scan) { return scan.location.answer == Answer::found; });
  if (first == located.begin()) {
    fmt::print(stderr, "Found at the first scan.\n");
  } else if (first != located.end()) {
    fmt::print(stderr, "First found {} after the first scan.\n", duration_text(first->time_s - located.front().time_s));
  }
  fmt::print(stderr, "{}\n", caution);
}

/// Where no scan was found, the reason.
void require_found(const std::vector<LocatedScan>& located) {
  if (count_of(located, Answer::found) > 0) return;
  if (count_of(located, Answer::ambiguous) > 0) {
    throw PoorData(
        "several places of the map fit, or one for which too little was seen: nowhere on the drive is it "
        "sure where the robot is; --all lists the places; drive on, through a door");
  }
  throw PoorData(
      "nothing in the map fits what the robot saw: another house, a part that was not mapped, furniture moved "
      "beyond recognition, or a wrong robot.yaml (wainscot check says what is wrong with the log)");
}

void run_locate(const LocateOptions& options) {
  ProgressBar bar(!options.quiet);
  bar.show("reading the map", 0.0);
  const SavedMap saved = read_map(options.map);
  bar.show("reading the drive", 0.2);
  const KnownRobot robot = with_found_constants(usable_drive(read_drive(options.drive)), saved);
  if (!options.quiet) {
    bar.wipe();
    if (is_marked_simulated(options.drive)) fmt::print(stderr, "Simulated drive: it says nothing of a real robot.\n");
    for (const std::string& warning : robot.drive.warnings) fmt::print(stderr, "Warning: {}\n", warning);
  }
  bar.show("preparing the map", 0.4);
  const KnownMap map = known_map(saved);
  const auto locate = options.as_driving ? locate_drive : locate_whole_drive;
  const std::vector<LocatedScan> located =
      locate(map, robot.drive, robot.lidar, robot.options,
             [&bar](double fraction) { bar.show("locating", 0.6 + 0.4 * fraction); });
  bar.wipe();
  print_result(location_csv(located, options.all));
  if (!options.quiet) tell(located, robot);
  require_found(located);
}

}  // namespace

void add_locate(CLI::App& app) {
  auto options = std::make_shared<LocateOptions>();
  CLI::App* locate = app.add_subcommand("locate", "Say where in a map a robot was on another drive.");
  locate->add_option("MAP", options->map, "the folder of a map")->required();
  locate
      ->add_option("DRIVE", options->drive,
                   "the folder of a drive in the same house, begun anywhere: robot.yaml, wheels.csv, scans.csv ...")
      ->required();
  locate->add_flag("--all", options->all, "where several places fit, a row for each, the best first");
  locate->add_flag("--as-driving", options->as_driving,
                   "each row rests on what was recorded until then, as on a driving robot");
  locate->add_flag("--quiet", options->quiet, "no progress bar, no warnings and no summary, only the table");
  locate->footer(fmt::format(
      "Prints a table, a row a scan: time_s,x_m,y_m,heading_rad,sd_x_m,sd_y_m,sd_heading_rad,answer. Places are in "
      "the\n"
      "map's frame, headings counter-clockwise from its x axis, and sd are standard deviations. The answer is found,\n"
      "ambiguous (several places fit, or too little was seen to be sure: the row holds the likeliest) or lost (cells "
      "empty).\ntime_s is that of the scan on the wheels' clock, with the delay that the robot's turns have shown.\n"
      "A recording is known whole: each row rests on what came before and after it. The status is 1 where no scan was\n"
      "found.\n\n{}\n\nExample:\n  wainscot locate flat data/demo/drive > where.csv",
      caution));
  locate->callback([options] { run_locate(*options); });
}

}  // namespace wainscot
