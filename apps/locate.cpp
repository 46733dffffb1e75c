#include "apps/locate.hpp"

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <unistd.h>

#include "apps/growing_log.hpp"
#include "apps/live_location.hpp"
#include "apps/print_result.hpp"
#include "apps/progress_bar.hpp"
#include "core/errors.hpp"
#include "graph/known/locate.hpp"
#include "graph/known/whole_drive.hpp"
#include "graph/motion/usable_drive.hpp"
#include "io/files/output_files.hpp"
#include "io/files/shown.hpp"
#include "io/log/drive_reader.hpp"
#include "io/log/simulated_mark.hpp"
#include "io/map/known_map.hpp"
#include "io/map/map_reader.hpp"
#include "io/number_text.hpp"
#include "io/page/location_page.hpp"
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
  bool follow = false;
  FollowingOptions following;
  std::filesystem::path csv;   ///< empty: the table goes to standard output
  std::filesystem::path page;  ///< empty: not wanted
  bool replace = false;
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

/// Nobody reads thousands of rows on a terminal.
bool prints_rows(const LocateOptions& options) { return options.csv.empty() && ::isatty(STDOUT_FILENO) != 1; }

void warn(const LocateOptions& options, ProgressBar& bar, const std::string& warning) {
  if (options.quiet) return;
  bar.wipe();
  fmt::print(stderr, "Warning: {}\n", warning);
}

KnownRobot recorded_robot(const LocateOptions& options, const SavedMap& saved, ProgressBar& bar) {
  bar.show("reading the drive", 0.2);
  KnownRobot robot = with_found_constants(usable_drive(read_drive(options.drive)), saved);
  for (const std::string& warning : robot.drive.warnings) warn(options, bar, warning);
  return robot;
}

/// Prints each answer as soon as it is there, if anybody reads them.
std::vector<LocatedScan> followed(const LocateOptions& options, const KnownMap& map, const KnownRobot& robot,
                                  ProgressBar& bar) {
  const bool rows = prints_rows(options);
  if (rows) print_result(kLocationColumns);
  std::vector<LocatedScan> located;
  locate_live(
      map, robot, options.drive, options.following,
      [&](const LocatedScan& here) {
        located.push_back(here);
        if (rows) print_result(location_rows({here}, options.all));
        bar.show_state(state_text(here));
      },
      [&](const std::string& warning) { warn(options, bar, warning); });
  if (located.empty()) {
    throw PoorData("nothing came that a robot could be located by: a scan, and odometry from before it to after it");
  }
  return located;
}

std::vector<LocatedScan> recorded(const LocateOptions& options, const KnownMap& map, const KnownRobot& robot,
                                  ProgressBar& bar) {
  const auto locate = options.as_driving ? locate_drive : locate_whole_drive;
  std::vector<LocatedScan> located = locate(map, robot.drive, robot.lidar, robot.options,
                                            [&bar](double fraction) { bar.show("locating", 0.6 + 0.4 * fraction); });
  if (prints_rows(options)) print_result(location_csv(located, options.all));
  return located;
}

void write_files(const LocateOptions& options, const SavedMap& saved, const std::vector<LocatedScan>& located) {
  std::vector<OutputFile> files;
  if (!options.csv.empty()) files.push_back({options.csv, location_csv(located, options.all)});
  if (!options.page.empty()) {
    const LocationPage page{folder_name(options.map),
                            is_stream(options.drive) ? "a stream" : folder_name(options.drive),
                            is_marked_simulated(options.drive), WAINSCOT_VERSION};
    files.push_back({options.page, location_page(saved.map.grid, located, page)});
  }
  if (!files.empty()) write_output_files(files, {}, options.replace);
}

void run_locate(LocateOptions options) {
  options.follow = options.follow || is_stream(options.drive);
  check_following(options.drive, options.following);
  if (options.following.until_idle_s > 0.0 && !options.follow) {
    throw InputError("--until-idle is for a drive that is being recorded; give --follow too, or leave it out");
  }
  check_output_files({options.csv, options.page}, {}, options.replace);
  ProgressBar bar(!options.quiet);
  bar.show("reading the map", 0.0);
  const SavedMap saved = read_map(options.map);
  if (!options.quiet && is_marked_simulated(options.drive)) {
    bar.wipe();
    fmt::print(stderr, "Simulated drive: it says nothing of a real robot.\n");
  }
  const KnownRobot robot =
      options.follow ? growing_robot(options.drive, options.following, saved) : recorded_robot(options, saved, bar);
  bar.show("preparing the map", 0.4);
  const KnownMap map = known_map(saved);
  const std::vector<LocatedScan> located =
      options.follow ? followed(options, map, robot, bar) : recorded(options, map, robot, bar);
  bar.wipe();
  write_files(options, saved, located);
  if (!options.quiet) tell(located, robot);
  require_found(located);
}

}  // namespace

void add_locate(CLI::App& app) {
  auto options = std::make_shared<LocateOptions>();
  CLI::App* locate = app.add_subcommand("locate", "Say where in a map a robot was on another drive.");
  locate->add_option("MAP", options->map, "the folder of a map")->required();
  locate
      ->add_option(
          "DRIVE", options->drive,
          "the folder of a drive in the same house, begun anywhere: robot.yaml, wheels.csv, scans.csv ...; or -, "
          "the robot's own messages from standard input, as --columns says")
      ->required();
  locate->add_flag("--all", options->all, "where several places fit, a row for each, the best first");
  locate->add_flag("--as-driving", options->as_driving,
                   "each row rests on what was recorded until then, as on a driving robot");
  CLI::Option* const follow = locate->add_flag(
      "--follow", options->follow,
      "the drive is being recorded: a row as soon as its scan and the motion have come; always with -");
  follow->excludes("--as-driving");
  add_following_options(*locate, options->following);
  locate->add_option("--csv", options->csv, "write the table to this file, in place of standard output")
      ->type_name("FILE");
  locate
      ->add_option("--page", options->page,
                   "also write a page (HTML): the way over the map, and when the robot was sure, in doubt or lost")
      ->type_name("FILE");
  locate->add_flag("--replace", options->replace, "replace the files that --csv and --page name");
  locate->add_flag("--quiet", options->quiet, "no progress bar, no warnings and no summary, only the table");
  locate->footer(fmt::format(
      "Prints a table, a row a scan: time_s,x_m,y_m,heading_rad,sd_x_m,sd_y_m,sd_heading_rad,answer. Places are in "
      "the map's frame, headings counter-clockwise from its x axis, and sd are standard deviations. The answer is "
      "found, ambiguous (several places fit, or too little was seen to be sure: the row holds the likeliest) or lost "
      "(cells empty).\ntime_s is that of the scan on the wheels' clock, with the delay that the robot's turns have "
      "shown.\nA recording is known whole: each row rests on what came before and after it. On a terminal there is a "
      "summary in place of the table. The status is 1 where no scan was found.\n\n{}\n\nExample:\n"
      "  wainscot locate flat data/demo/drive > where.csv\n"
      "  wainscot locate flat data/demo/drive --page where.html\n"
      "  wainscot locate flat my-drive --follow | my-program\n"
      "  my-logger | wainscot locate flat - --columns columns.yaml --robot robot.yaml | my-program",
      caution));
  locate->callback([options] { run_locate(*options); });
}

}  // namespace wainscot
