#include "apps/batch.hpp"

#include <algorithm>
#include <cstddef>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <system_error>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <CLI/CLI.hpp>

#include "apps/batch/batch_folder.hpp"
#include "apps/batch/gnu_parallel.hpp"
#include "apps/batch/job_list.hpp"
#include "apps/batch/job_state.hpp"
#include "apps/batch/job_words.hpp"
#include "apps/batch/slurm.hpp"
#include "apps/command_words.hpp"
#include "apps/option_values.hpp"
#include "apps/print_result.hpp"
#include "apps/progress_bar.hpp"
#include "core/errors.hpp"
#include "graph/parallel.hpp"
#include "io/files/shown.hpp"
#include "io/files/whole_file.hpp"
#include "io/files/working_folder.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

struct BatchOptions {
  fs::path list;
  fs::path out;
  std::vector<std::string> words;
  int jobs = 0;  ///< 0: as many as there are processors
  // What an hour's drive takes, 445 MB (tests/bench/FIGURES.md), and some room.
  int memory_mb = 500;
  bool again = false;
  bool slurm = false;
  bool wait = false;
  std::string partition;
  std::string time;
  bool quiet = false;
};

/// What is to be done, and what of it has been done before.
struct Plan {
  BatchCommand command;
  std::vector<BatchJob> jobs;
  std::vector<BatchJob> to_do;
  std::size_t failed_before = 0;
};

void say(const BatchOptions& options, const std::string& line) {
  if (!options.quiet) std::fputs((line + "\n").c_str(), stderr);
}

/// How many jobs at once here.
int jobs_at_once(const BatchOptions& options) {
  return options.jobs > 0 ? options.jobs : static_cast<int>(processors());
}

Plan plan_of(const BatchOptions& options) {
  const int threads = std::max(1, static_cast<int>(processors()) / jobs_at_once(options));
  // A cluster's tasks have a processor and their memory each.
  BatchCommand command{options.words, threads, options.memory_mb};
  if (options.slurm) command = {options.words, 1, 0};
  JobWords words(std::move(command));
  std::vector<std::string> warnings;
  Plan plan;
  plan.jobs = read_job_list(options.list, options.out, words, warnings);
  plan.command = words.command();
  for (const std::string& warning : warnings) say(options, "Warning: " + warning);
  return plan;
}

/// Sorts out what has been done; with `--again` failed ones are forgotten.
void look_at_what_is_done(const BatchOptions& options, Plan& plan) {
  ProgressBar bar(!options.quiet);
  std::size_t looked = 0;
  for (const BatchJob& job : plan.jobs) {
    bar.show("looking at what is done", static_cast<double>(looked++) / static_cast<double>(plan.jobs.size()));
    const std::optional<JobRecord> record = done_record(options.out, plan.command, job);
    const bool failed = record && record->status != 0;
    if (failed && options.again) {
      std::error_code error;
      fs::remove(options.out / job.name / "job.json", error);
    }
    if (!record || (failed && options.again)) {
      plan.to_do.push_back(job);
    } else {
      plan.failed_before += failed ? 1 : 0;
    }
  }
}

/// "500 drives: wainscot build of 498 by ...; 2 were done before, 1 of them failed. All of it goes to houses."
std::string begin_text(const BatchOptions& options, const Plan& plan, const std::string& where) {
  const std::size_t before = plan.jobs.size() - plan.to_do.size();
  std::vector<std::string> parts;
  if (!plan.to_do.empty()) {
    parts.push_back(fmt::format("wainscot {} of {} {}", plan.command.words.front(), plan.to_do.size(), where));
  }
  if (before > 0) parts.push_back(fmt::format("{} done before", before));
  if (plan.failed_before > 0) {
    parts.push_back(fmt::format("of those {} failed, which --again does again", plan.failed_before));
  }
  return fmt::format("{}: {}. All of it goes to {}.", count_text(plan.jobs.size(), "drive"), fmt::join(parts, "; "),
                     shown(options.out));
}

void run_here(const BatchOptions& options, const Plan& plan) {
  const int at_once = jobs_at_once(options);
  say(options, begin_text(options, plan, fmt::format("by GNU parallel, {} at once", at_once)));
  ProgressBar bar(!options.quiet);
  run_by_gnu_parallel(options.out, plan.to_do, at_once, [&](std::size_t ended) {
    const double share = static_cast<double>(ended) / static_cast<double>(plan.to_do.size());
    bar.show(fmt::format("{} of {} drives", ended, plan.to_do.size()), std::min(1.0, share));
  });
}

/// False: the jobs are with Slurm still.
bool run_there(const BatchOptions& options, const Plan& plan) {
  const SlurmJobs given = give_to_slurm(options.out, plan.to_do, {options.partition, options.time, options.memory_mb});
  say(options,
      begin_text(options, plan,
                 fmt::format("by Slurm: {} tasks, number {}; {} gathers", given.tasks, given.array, given.gather)));
  if (!options.wait) {
    say(options, fmt::format("See squeue --jobs={},{}. When they have ended, the same command tells what came of them.",
                             given.array, given.gather));
    return false;
  }
  ProgressBar bar(!options.quiet);
  wait_for_slurm(options.out, [&](std::size_t left) { bar.show_state(fmt::format("{} tasks left in Slurm", left)); });
  return true;
}

void require_own_words(const BatchOptions& options) {
  if (options.slurm && options.jobs > 0) {
    throw InputError("--jobs is for this computer; with --slurm the cluster says how many run at once");
  }
  if (options.slurm) return;
  for (const auto& [given, name] : {std::pair{!options.partition.empty(), "--partition"},
                                    std::pair{!options.time.empty(), "--time"}, std::pair{options.wait, "--wait"}}) {
    if (given) throw InputError(fmt::format("{} is for --slurm; without it the jobs run here", name));
  }
}

void run_batch(const BatchOptions& options) {
  require_own_words(options);
  Plan plan = plan_of(options);
  options.slurm ? require_slurm() : require_gnu_parallel();
  make_batch_folder(options.out);
  const fs::path claimed = own_folder(options.out) / "command.json";
  if (is_being_written(claimed)) {
    throw InputError(fmt::format("{}: another wainscot batch is at work there; wait for its end", shown(options.out)));
  }
  const WorkingFolder claim(claimed);
  if (const std::size_t tasks = tasks_in_slurm(options.out); tasks > 0) {
    throw PoorData(
        fmt::format("Slurm has {} tasks of this batch still; run the same command when they have ended, or "
                    "end them with scancel",
                    tasks));
  }
  write_batch_command(options.out, plan.command);
  write_job_lines(own_folder(options.out) / "jobs.jsonl", plan.jobs);
  look_at_what_is_done(options, plan);
  if (plan.to_do.empty()) say(options, begin_text(options, plan, {}));
  if (!plan.to_do.empty()) {
    if (!options.slurm) run_here(options, plan);
    if (options.slurm && !run_there(options, plan)) return;
  }
  const std::vector<JobResult> results = job_results(options.out, plan.jobs);
  write_whole_file(options.out / "results.csv", results_csv(results), true);
  print_result(results_text(options.out, results));
  const bool all_well = std::all_of(results.begin(), results.end(), [](const JobResult& r) { return r.status == 0; });
  if (makes_map(plan.command)) {
    say(options, fmt::format("Next: wainscot overview {} --page houses.html --csv houses.csv", shown(options.out)));
  }
  if (!all_well)
    throw PoorData("not every drive was done well; failed ones are tried again with --again, others always");
}

}  // namespace

void add_batch(CLI::App& app) {
  auto options = std::make_shared<BatchOptions>();
  CLI::App* batch = app.add_subcommand("batch", "Do one command with many drives, here or on a cluster.");
  batch
      ->add_option("LIST", options->list,
                   "a folder of drives' folders, or a table: name,drive and options of the command as further columns")
      ->required();
  batch
      ->add_option("COMMAND", options->words,
                   "build, check, calibrate, compare or extend, with the options that all drives have")
      ->type_name(kBehindDashes)
      ->required();
  batch
      ->add_option("--out", options->out,
                   "the batch's folder, to be made or gone on with; each drive has a folder of its own in it")
      ->type_name("FOLDER")
      ->required();
  batch->add_option("--jobs", options->jobs, "how many drives at once; as many as there are processors where not given")
      ->type_name("N")
      ->check(whole_number_from(1, 1024));
  batch
      ->add_option(
          "--memory", options->memory_mb,
          "what one job may need, in megabytes: it waits a minute for as much to be free, and Slurm grants as much")
      ->type_name("MB")
      ->check(whole_number_from(1, 1'000'000))
      ->capture_default_str();
  batch->add_flag("--again", options->again, "also do again what has failed before");
  batch->add_flag("--slurm", options->slurm, "give the jobs to a cluster's Slurm, in place of GNU parallel here");
  batch->add_option("--partition", options->partition, "of Slurm: which part of the cluster's computers")
      ->type_name("NAME");
  batch
      ->add_option("--time", options->time,
                   "of Slurm: what a task may take at most, ten drives or more, as 30 (minutes) or 1:00:00")
      ->type_name("TIME");
  batch->add_flag("--wait", options->wait, "of Slurm: wait until all have ended");
  batch->add_flag("--quiet", options->quiet, "no progress bar and no warnings, only results and errors");
  batch->footer(
      "What was done with the same options, by the same version, of the same bytes is not done again; what was killed "
      "is: after Ctrl-C, a full disk or a lost computer run the same command again.\n\n"
      "Example:\n  wainscot batch drives --out houses -- build --cell-size 0.03\n  wainscot batch drives.csv --out "
      "houses --slurm --partition short -- build\n  wainscot overview houses --page houses.html");
  batch->callback([options] { run_batch(*options); });
}

}  // namespace wainscot
