#include "apps/check.hpp"

#include <cstdio>
#include <filesystem>
#include <memory>
#include <string>
#include <utility>

#include <fmt/format.h>

#include "apps/check_account.hpp"
#include "apps/checked_stretch.hpp"
#include "apps/print_result.hpp"
#include "apps/progress_bar.hpp"
#include "graph/check/found_readings.hpp"
#include "graph/check/log_check.hpp"
#include "graph/check/time_units.hpp"
#include "io/log/log_readings.hpp"
#include "io/log/simulated_mark.hpp"
#include "io/results/check_json.hpp"

namespace wainscot {
namespace {

struct CheckOptions {
  std::filesystem::path drive;
  int threads = 0;
  bool json = false;
  bool quiet = false;
};

void run_check(const CheckOptions& options) {
  constexpr double kReadingShare = 0.2;
  ProgressBar bar(!options.quiet);
  LogReadings all = read_log(options.drive, [&bar](double fraction) { bar.show("reading", kReadingShare * fraction); });
  if (!options.quiet) {
    bar.wipe();
    for (const std::string& warning : all.drive.warnings) fmt::print(stderr, "Warning: {}\n", warning);
  }
  const TimeUnits units = time_units(all.drive);
  const std::vector<Finding> of_times = time_findings(units, all.drive);
  all = in_seconds(std::move(all), units);
  const std::string left_out = find_robot_or_why(all);
  CheckedStretch stretch = checked_stretch(std::move(all));
  const LogReadings& readings = stretch.readings;
  LogCheckOptions check_options;
  check_options.threads = options.threads;
  check_options.progress = [&bar](double fraction) {
    bar.show("checking", kReadingShare + (1.0 - kReadingShare) * fraction);
  };
  LogCheck check = check_log(readings, check_options);
  check.findings.insert(check.findings.begin(), stretch.findings.begin(), stretch.findings.end());
  check.findings.insert(check.findings.begin(), of_times.begin(), of_times.end());
  if (!left_out.empty()) check.notes.push_back(left_out);
  check.notes.insert(check.notes.begin(), stretch.notes.begin(), stretch.notes.end());
  bar.wipe();
  const bool simulated = is_marked_simulated(options.drive);
  const std::string text = options.json ? check_json(check, readings.drive, simulated)
                                        : check_account(check, readings.drive, simulated, options.drive);
  print_result(text);
}

}  // namespace

void add_check(CLI::App& app) {
  auto options = std::make_shared<CheckOptions>();
  CLI::App* check = app.add_subcommand("check", "Say what is in a log, what is wrong with it and what mends it.");
  check->add_option("DRIVE", options->drive, "the folder of a recorded drive: robot.yaml, wheels.csv, scans.csv ...")
      ->required();
  check->add_flag("--json", options->json, "print the findings for machines");
  check
      ->add_option("--threads", options->threads,
                   "how many processors to use; all where not given. The findings are the same")
      ->type_name("N")
      ->check(CLI::Range(1, 1024));
  check->add_flag("--quiet", options->quiet, "no progress bar and no warnings, only the findings");
  check->footer(
      "The status is 0 when the log could be checked, whatever was found, 1 when it can tell nothing.\n"
      "Example:\n  wainscot check data/demo/drive");
  check->callback([options] { run_check(*options); });
}

}  // namespace wainscot
