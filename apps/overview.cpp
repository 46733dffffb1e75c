#include "apps/overview.hpp"

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <string>
#include <system_error>
#include <vector>

#include <fmt/format.h>

#include "apps/option_values.hpp"
#include "apps/print_result.hpp"
#include "apps/progress_bar.hpp"
#include "io/files/output_files.hpp"
#include "io/files/shown.hpp"
#include "io/number_text.hpp"
#include "io/overview/overview.hpp"
#include "io/overview/overview_csv.hpp"
#include "io/overview/overview_text.hpp"
#include "io/page/overview_page.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

struct OverviewCommand {
  fs::path folder;
  fs::path page;  ///< empty: not wanted
  fs::path csv;   ///< likewise
  int threads = 0;
  bool replace = false;
  bool quiet = false;
};

/// The maps' folder from where the page will lie; empty where there is no way between them.
std::string folder_from_page(const OverviewCommand& options) {
  std::error_code error;
  const fs::path here = fs::weakly_canonical(fs::absolute(options.page).parent_path(), error);
  const fs::path there = error ? fs::path() : fs::weakly_canonical(fs::absolute(options.folder), error);
  return error ? std::string() : there.lexically_relative(here).string();
}

std::vector<OutputFile> output_files(const OverviewCommand& options, const Overview& overview) {
  std::vector<OutputFile> files;
  if (!options.csv.empty()) files.push_back({options.csv, overview_csv(overview)});
  if (!options.page.empty()) {
    files.push_back({options.page, overview_page(overview, {WAINSCOT_VERSION, folder_from_page(options)})});
  }
  return files;
}

/// What of the files cannot be used, the first ten.
void say_faults(const std::vector<DriveRow>& rows) {
  constexpr std::size_t kMostLines = 10;
  std::size_t faults = 0;
  for (const DriveRow& row : rows) {
    for (const std::string& fault : row.faults) {
      if (++faults <= kMostLines) fmt::print(stderr, "Warning: {}\n", fault);
    }
  }
  if (faults > kMostLines) fmt::print(stderr, "And {} more warnings: in the CSV.\n", whole_text(faults - kMostLines));
}

void say_what_next(const OverviewCommand& options, const Overview& overview) {
  if (overview.passed_over > 0) {
    fmt::print(stderr, "Passed over: {} without a map.\n", count_text(overview.passed_over, "sub-folder"));
  }
  for (const fs::path& file : {options.csv, options.page}) {
    if (!file.empty()) fmt::print(stderr, "Written to {}.\n", shown(file));
  }
  const auto failed = std::find_if(overview.rows.begin(), overview.rows.end(), [](const DriveRow& row) {
    return row.state == RowState::failed && !row.drive.empty();
  });
  if (failed != overview.rows.end()) {
    fmt::print(stderr, "Why the first one failed: wainscot check {}\n", shell_word(failed->drive));
  } else if (options.page.empty()) {
    fmt::print(stderr, "To look at them: wainscot overview {} --page houses.html\n", shell_word(shown(options.folder)));
  }
}

void run_overview(const OverviewCommand& options) {
  check_output_files({options.csv, options.page}, {}, options.replace);
  ProgressBar bar(!options.quiet);
  OverviewOptions reading;
  reading.threads = options.threads;
  reading.pictures = !options.page.empty();
  reading.progress = [&bar](double fraction) { bar.show("reading maps", fraction); };
  const Overview overview = read_overview(options.folder, reading);
  bar.show("writing", 1.0);
  write_output_files(output_files(options, overview), {}, options.replace);
  bar.wipe();
  print_result(overview_text(overview));
  if (options.quiet) return;
  say_faults(overview.rows);
  say_what_next(options, overview);
}

}  // namespace

void add_overview(CLI::App& app) {
  auto options = std::make_shared<OverviewCommand>();
  CLI::App* overview = app.add_subcommand(
      "overview",
      "Look at many maps at once: how good they are, which drives failed and why, which drive's constants differ from "
      "those of the robot's other drives, and what changed from drive to drive.");
  overview
      ->add_option(
          "FOLDER", options->folder,
          "a folder whose sub-folders hold a map each: NAME/map with NAME/job.json, or NAME itself a map's folder")
      ->required();
  overview
      ->add_option("--page", options->page, "write a page that needs no network: a table to sort and search, and plots")
      ->type_name("FILE");
  overview->add_option("--csv", options->csv, "write a table, a row a drive with all figures")->type_name("FILE");
  overview
      ->add_option("--threads", options->threads,
                   "how many processors to use; all where not given. The result is the same")
      ->type_name("N")
      ->check(whole_number_from(1, 1024));
  overview->add_flag("--replace", options->replace, "replace files that are there already");
  overview->add_flag("--quiet", options->quiet, "no progress bar and no warnings, only results and errors");
  overview->footer(
      "Drives whose robot.yaml states the same are taken for one robot's, in the order of their names. A constant "
      "differs, "
      "or changed, where chance would do so in one of twenty overviews at most.\n\n"
      "Example:\n  wainscot overview houses --page houses.html --csv houses.csv");
  overview->callback([options] { run_overview(*options); });
}

}  // namespace wainscot
