#include "apps/follow.hpp"

#include <cstdio>
#include <exception>
#include <filesystem>
#include <functional>
#include <memory>
#include <stdexcept>
#include <string>
#include <system_error>
#include <utility>

#include <fmt/format.h>

#include "apps/account.hpp"
#include "apps/build.hpp"
#include "apps/growing_log.hpp"
#include "apps/growing_map.hpp"
#include "apps/live_view.hpp"
#include "apps/mapping/drive_map.hpp"
#include "apps/mapping_run.hpp"
#include "apps/option_values.hpp"
#include "apps/page_server.hpp"
#include "apps/progress_bar.hpp"
#include "apps/timings.hpp"
#include "core/errors.hpp"
#include "graph/mapping/map_verdict.hpp"
#include "io/files/file_reader.hpp"
#include "io/files/shown.hpp"
#include "io/files/stop_signal.hpp"
#include "io/files/whole_file.hpp"
#include "io/files/working_folder.hpp"
#include "io/log/simulated_mark.hpp"
#include "io/map/map_folder.hpp"
#include "io/page/live_page.hpp"
#include "io/robot/robot_yaml.hpp"
#include "io/verdict_text.hpp"

namespace wainscot {
namespace {

struct FollowOptions {
  std::filesystem::path drive;   ///< - for a stream
  std::filesystem::path record;  ///< of a stream: the drive's folder, to be made
  std::filesystem::path out;
  double cell_size_m = 0.05;
  FollowingOptions following;
  PageServerOptions page;
  bool replace = false;
  bool even_so = false;
  bool quiet = false;
};

/// The folder that the drive is, or will be, in.
const std::filesystem::path& folder_of(const FollowOptions& options) {
  return is_stream(options.drive) ? options.record : options.drive;
}

/// A stream is kept as a drive's folder from its first row on, with its robot.yaml.
void begin_record(const FollowOptions& options) {
  if (options.record.empty()) {
    throw InputError(
        "a stream is kept while it is followed, since the map is made from the whole of it: give --record "
        "DRIVE, a folder to be made");
  }
  const std::string robot = read_small_file(options.following.robot, kLargestRobotFile, nullptr);
  std::error_code error;
  if (!std::filesystem::create_directory(options.record, error)) {
    throw InputError(fmt::format("{}: {}; choose another name for --record", shown(options.record),
                                 error ? "cannot be made (" + error.message() + ")" : "is there already"));
  }
  write_whole_file(options.record / "robot.yaml", robot, false);
}

/// Of a stream that ended early: what came of it is mapped all the same; where nothing came, nothing is kept.
void tell_of_stream(const FollowOptions& options, const GrowingLog& log, bool came,
                    const std::function<void(const std::string&)>& warn) {
  try {
    for (const std::string& warning : log.warnings()) warn(warning);
  } catch (const std::runtime_error& error) {
    if (came) return warn(error.what());
    std::error_code ignored;
    std::filesystem::remove_all(options.record, ignored);  // begin_record() made it
    throw;
  }
}

/// Follows the drive to its end, and shows on the page what comes of it.
void follow_to_the_end(const FollowOptions& options, const Robot& robot, PageServer& page, ProgressBar& bar) {
  GrowingLog log = is_stream(options.drive) ? GrowingLog(options.following, robot, options.record)
                                            : GrowingLog(options.drive, robot);
  GrowingMap map(folder_of(options), options.cell_size_m);
  LiveView view(folder_of(options), log.drive(), robot, map,
                [&page](const std::string& kind, std::string json) { page.publish(kind, std::move(json)); });
  const auto warn = [&](const std::string& warning) {
    bar.wipe();
    if (!options.quiet) fmt::print(stderr, "Warning: {}\n", warning);
  };
  follow_drive(
      log, options.following,
      [&](NewReadings&& readings, bool /*at_end*/) {
        for (const std::string& warning : readings.warnings) warn(warning);
        view.take(std::move(readings));
        view.look();
      },
      [&] {
        view.look();
        bar.show_state(view.state());
      });
  tell_of_stream(options, log, view.here().has_value(), warn);
  view.end("The recording has ended; the map is made from the whole of it.");
}

/// The whole job, as `build` does it.
DriveMap map_whole(const FollowOptions& options, ProgressBar& bar, Timings& timings) {
  DriveMapOptions job;
  job.mapper.cell_size_m = options.cell_size_m;
  job.even_so = options.even_so;
  job.replace = options.replace;
  job.progress = [show = shown_progress(bar, timings)](const std::string& stage, double fraction) {
    stop_if_asked();  // a second Ctrl-C
    show(stage, fraction);
  };
  return map_drive(folder_of(options), options.out, WAINSCOT_VERSION, job);
}

/// Follows, then maps the whole; the page is told how it ended.
DriveMap followed_and_mapped(const FollowOptions& options, const Robot& robot, PageServer& page) {
  ProgressBar bar(!options.quiet);
  try {
    follow_to_the_end(options, robot, page, bar);
    bar.wipe();
    Timings timings;
    DriveMap made = map_whole(options, bar, timings);
    bar.wipe();
    page.publish("end", live_end_json(fmt::format("The map is in {}: {}", shown(options.out),
                                                  verdict_sentence(map_verdict(made.map, made.drive)))));
    if (!options.quiet) {
      const std::string text = account(made.map, made.drive, made.origin, folder_of(options), options.out);
      std::fputs((text + took_text(timings)).c_str(), stderr);
    }
    return made;
  } catch (const std::exception& error) {
    page.publish("end", live_end_json(fmt::format("No map was made: {}", error.what())));
    throw;
  }
}

void run_follow(const FollowOptions& options) {
  check_map_destination(options.out, options.replace);
  if (is_being_written(options.out)) {
    throw InputError(fmt::format("{}: another run of wainscot is making it; wait for its end, or choose another name",
                                 shown(options.out)));
  }
  check_following(options.drive, options.following);
  const Robot robot = robot_of_growing_drive(options.drive, options.following);
  const WorkingFolder claim(options.out);
  LivePage form;
  form.drive = folder_name(folder_of(options));
  form.out = shown(options.out);
  form.simulated = is_marked_simulated(folder_of(options));
  form.program_version = WAINSCOT_VERSION;
  form.key = kKeyPlace;
  PageServer page(options.page, live_page(form));
  if (is_stream(options.drive)) begin_record(options);
  if (!options.quiet) {
    const double idle_s = options.following.until_idle_s;
    fmt::print(stderr, "Following {}; open {} to watch. {} ends it, and makes the map.\n",
               is_stream(options.drive) ? "standard input" : shown(options.drive), page.url(),
               idle_s > 0.0 ? fmt::format("{} s without anything new", idle_s) : "Ctrl-C");
  }
  const DriveMap made = followed_and_mapped(options, robot, page);
  require_usable(made.map, made.drive, options.out);
}

}  // namespace

void add_follow(CLI::App& app) {
  auto options = std::make_shared<FollowOptions>();
  CLI::App* follow = app.add_subcommand("follow", "Map a drive while it is recorded, and show it on a page.");
  follow
      ->add_option(
          "DRIVE", options->drive,
          "the folder that the drive is being recorded into: robot.yaml is there, the tables grow; or -, the robot's "
          "own messages from standard input, as --columns says, up to its end or a line 'end'")
      ->required();
  follow->add_option("--out", options->out, "the map's folder, to be made when the drive has ended")
      ->type_name("MAP")
      ->required();
  follow->add_option("--record", options->record, "of a stream: the folder that it is kept in as a drive, to be made")
      ->type_name("DRIVE");
  add_cell_size(*follow, options->cell_size_m);
  add_following_options(*follow, options->following);
  follow->add_option("--port", options->page.port, "of the page on this computer; one that is free where not given")
      ->type_name("NUMBER")
      ->check(whole_number_from(1, 65535));
  follow
      ->add_option("--listen", options->page.address,
                   "show the page to other computers too, at this address of this one; it then asks for a token")
      ->type_name("ADDRESS");
  follow->add_flag("--replace", options->replace, "replace the map that stands at --out");
  follow->add_flag("--even-so", options->even_so,
                   "map the drive also where a fault in it, or in robot.yaml, would spoil the map for sure");
  follow->add_flag("--quiet", options->quiet, "no state, no warnings and no account, only errors");
  follow->footer(
      "The page shows the map as it grows, where the robot is, where known rooms end, loops as they are closed, and "
      "what to do otherwise while driving. When the drive ends (--until-idle, or Ctrl-C), the map's folder is made "
      "from the whole of it, the same as wainscot build would make.\n\nExample:\n  wainscot follow my-drive --out "
      "flat");
  follow->callback([options] { run_follow(*options); });
}

}  // namespace wainscot
