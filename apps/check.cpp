#include "apps/check.hpp"

#include <cstdio>
#include <filesystem>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "apps/check_account.hpp"
#include "apps/mapping/checked_stretch.hpp"
#include "apps/option_values.hpp"
#include "apps/print_result.hpp"
#include "apps/progress_bar.hpp"
#include "core/errors.hpp"
#include "graph/check/found_readings.hpp"
#include "graph/check/log_check.hpp"
#include "graph/check/time_units.hpp"
#include "io/draw/log_picture.hpp"
#include "io/files/output_files.hpp"
#include "io/log/log_readings.hpp"
#include "io/log/simulated_mark.hpp"
#include "io/results/check_json.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

struct CheckOptions {
  std::filesystem::path drive;
  std::filesystem::path plot;  ///< empty: not wanted
  int threads = 0;
  bool json = false;
  bool quiet = false;
  bool replace = false;
};

constexpr double kReadingShare = 0.2;  // of the time

struct CheckedLog {
  CheckedStretch stretch;
  LogCheck check;
};

/// `of_times`: findings of the times' units, which are mended in `all`.
CheckedLog checked_log(LogReadings all, const std::vector<Finding>& of_times, int threads, ProgressBar& bar) {
  const std::string left_out = find_robot_or_why(all);
  CheckedLog log{checked_stretch(std::move(all)), {}};
  LogCheckOptions options;
  options.threads = threads;
  options.progress = [&bar](double fraction) {
    bar.show("checking", kReadingShare + (1.0 - kReadingShare) * fraction);
  };
  log.check = check_log(log.stretch.readings, options);
  std::vector<Finding>& findings = log.check.findings;
  findings.insert(findings.begin(), log.stretch.findings.begin(), log.stretch.findings.end());
  findings.insert(findings.begin(), of_times.begin(), of_times.end());
  std::vector<std::string>& notes = log.check.notes;
  if (!left_out.empty()) notes.push_back(left_out);
  notes.insert(notes.begin(), log.stretch.notes.begin(), log.stretch.notes.end());
  return log;
}

void write_picture(const CheckOptions& options, const LogPicture& picture) {
  write_output_files({{options.plot, log_picture(picture)}}, {}, options.replace);
  if (!options.quiet) fmt::print(stderr, "Written to {}.\n", printable(options.plot.string(), 300));
}

void run_check(const CheckOptions& options) {
  check_output_files({options.plot}, {}, options.replace);
  ProgressBar bar(!options.quiet);
  const bool plot = !options.plot.empty();
  // Wheels alone cannot be checked, but looked at.
  LogReadings all = read_log(
      options.drive, [&bar](double fraction) { bar.show("reading", kReadingShare * fraction); },
      plot ? LidarLog::may_be_missing : LidarLog::needed);
  if (!options.quiet) {
    bar.wipe();
    for (const std::string& warning : all.drive.warnings) fmt::print(stderr, "Warning: {}\n", warning);
  }
  const TimeUnits units = time_units(all.drive);
  const std::vector<Finding> of_times = time_findings(units, all.drive);
  all = in_seconds(std::move(all), units);
  const bool simulated = is_marked_simulated(options.drive);
  const std::string name = all.drive.name;
  CheckedLog log;
  try {
    log = checked_log(plot ? LogReadings(all) : std::move(all), of_times, options.threads, bar);
  } catch (const PoorData& poor) {
    bar.wipe();
    if (plot) {  // where nothing can be checked, there may be something to see
      const std::string why = fmt::format("Not checked: {}", poor.what());
      write_picture(options, {name, simulated, course_without_check(all, options.threads), of_times, {why}});
    }
    throw;
  }
  bar.wipe();
  const LogCheck& check = log.check;
  const Drive& drive = log.stretch.readings.drive;
  if (plot) {
    std::vector<std::string> notes = check.notes;
    if (check.findings.empty()) notes.emplace_back("Nothing is wrong that this log could show");
    write_picture(options, {name, simulated, check.course, check.findings, notes});
  }
  print_result(options.json ? check_json(check, drive, simulated)
                            : check_account(check, drive, simulated, options.drive));
}

}  // namespace

void add_check(CLI::App& app) {
  auto options = std::make_shared<CheckOptions>();
  CLI::App* check = app.add_subcommand("check", "Say what is in a log, what is wrong with it and what mends it.");
  check->add_option("DRIVE", options->drive, "the folder of a recorded drive: robot.yaml, wheels.csv, scans.csv ...")
      ->required();
  check->add_flag("--json", options->json, "print the findings for machines");
  check
      ->add_option("--plot", options->plot,
                   "draw the log as an SVG picture: speed, turning, wheels against scans, returns a scan and what is "
                   "missing, with the findings' numbers where they happened")
      ->type_name("FILE");
  check->add_flag("--replace", options->replace, "replace the picture that is there");
  check
      ->add_option("--threads", options->threads,
                   "how many processors to use; all where not given. The findings are the same")
      ->type_name("N")
      ->check(whole_number_from(1, 1024));
  check->add_flag("--quiet", options->quiet, "no progress bar and no warnings, only the findings");
  check->footer(
      "The status is 0 when the log could be checked, whatever was found, 1 when it can tell nothing.\n\n"
      "Example:\n  wainscot check data/demo/drive\n  wainscot check data/demo/drive --plot look.svg");
  check->callback([options] { run_check(*options); });
}

}  // namespace wainscot
