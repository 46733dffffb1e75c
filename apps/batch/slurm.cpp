#include "apps/batch/slurm.hpp"

#include <algorithm>
#include <charconv>
#include <chrono>
#include <fstream>
#include <system_error>
#include <thread>

#include <fmt/format.h>

#include "apps/batch/child_process.hpp"
#include "core/errors.hpp"
#include "io/files/shown.hpp"
#include "io/files/stop_signal.hpp"
#include "io/files/whole_file.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

// Starting a task takes Slurm some tenths of a second, of which ten drives have a hundredth each.
constexpr std::size_t kDrivesOfTask = 10;

std::string first_line(const std::string& text) { return printable(text.substr(0, text.find('\n')), 200); }

/// Slurm's numbers of the tasks that it was given last, separated by commas.
fs::path numbers_file(const fs::path& folder) { return own_folder(folder) / "slurm.txt"; }

/// The most tasks that an array may have here.
std::size_t most_tasks() {
  constexpr std::size_t kUsual = 1001;  // MaxArraySize where a cluster says nothing: slurm.conf(5)
  const std::string out = output_of({"scontrol", "show", "config"}).out;
  const std::size_t at = out.find("MaxArraySize");
  const std::size_t digits = at == std::string::npos ? at : out.find_first_of("0123456789", at);
  std::size_t number = kUsual;
  if (digits != std::string::npos) std::from_chars(out.data() + digits, out.data() + out.size(), number);
  return std::max<std::size_t>(number, 2) - 1;
}

/// Writes the blocks of drives, a file for each task; how many there are.
std::size_t write_blocks(const fs::path& folder, const std::vector<BatchJob>& jobs) {
  const fs::path blocks = own_folder(folder) / "blocks";
  std::error_code error;
  fs::remove_all(blocks, error);
  fs::create_directory(blocks, error);
  const std::size_t wanted = (jobs.size() + kDrivesOfTask - 1) / kDrivesOfTask;
  const std::size_t tasks = std::min(wanted, most_tasks());
  for (std::size_t task = 0; task < tasks; ++task) {
    const auto from = static_cast<std::ptrdiff_t>(jobs.size() * task / tasks);
    const auto to = static_cast<std::ptrdiff_t>(jobs.size() * (task + 1) / tasks);
    write_job_lines(blocks / fmt::format("{}.jsonl", task), {jobs.begin() + from, jobs.begin() + to});
  }
  return tasks;
}

/// Hands a line of shell to sbatch, to run in the batch's folder; the number that Slurm gave it.
std::string submitted(const fs::path& folder, const std::string& name, const std::string& line,
                      const std::vector<std::string>& options) {
  const fs::path script = own_folder(folder) / (name + ".sh");
  write_whole_file(script, fmt::format("#!/bin/sh\nexec {} {}\n", shell_word(own_program().string()), line), true);
  std::vector<std::string> words = {"sbatch", "--parsable", "--requeue", "--ntasks=1", "--job-name=wainscot-" + name};
  words.push_back("--chdir=" + fs::absolute(folder).string());
  words.insert(words.end(), options.begin(), options.end());
  words.push_back(script.string());
  const ProgramOutput output = output_of(words, ErrorWords::with_the_others);  // its reasons stand among them
  if (output.status != 0) {
    throw InputError(fmt::format("Slurm does not take the jobs: {}", first_line(output.out)));
  }
  // A warning may come before the number, a cluster's name behind it.
  const std::string last = output.out.substr(0, output.out.find_last_not_of("\n") + 1);
  const std::string number = last.substr(last.rfind('\n') + 1);
  return number.substr(0, number.find(';'));
}

}  // namespace

void require_slurm() {
  if (is_installed("sbatch") && is_installed("squeue") && is_installed("scontrol")) return;
  throw InputError(
      "Slurm's commands are not installed, which give the jobs to a cluster: sudo apt install slurm-client, on a "
      "computer of the cluster; without --slurm the jobs run here");
}

std::size_t tasks_in_slurm(const fs::path& folder) {
  std::string numbers;
  std::getline(std::ifstream(numbers_file(folder)), numbers);
  if (numbers.empty()) return 0;
  const ProgramOutput output =
      output_of({"squeue", "--noheader", "--array", "--format=%i", "--jobs=" + numbers}, ErrorWords::with_the_others);
  if (output.status == 0) return static_cast<std::size_t>(std::count(output.out.begin(), output.out.end(), '\n'));
  // So it says of those that have ended some minutes ago.
  if (output.out.find("Invalid job id") != std::string::npos) return 0;
  throw InputError(
      fmt::format("this batch was given to Slurm, which does not tell how it stands ({}); ask on a computer "
                  "of that cluster, or remove {} if all of it has ended",
                  first_line(output.out), shown(numbers_file(folder))));
}

SlurmJobs give_to_slurm(const fs::path& folder, const std::vector<BatchJob>& jobs, const SlurmOptions& options) {
  SlurmJobs given;
  given.tasks = write_blocks(folder, jobs);
  std::error_code none;
  fs::remove(own_folder(folder) / "gathered", none);
  std::vector<std::string> own = {"--cpus-per-task=1", fmt::format("--mem={}M", options.memory_mb)};
  if (!options.partition.empty()) own.push_back("--partition=" + options.partition);
  std::vector<std::string> gather = own;
  if (!options.time.empty()) own.push_back("--time=" + options.time);
  own.push_back(fmt::format("--array=0-{}", given.tasks - 1));
  own.emplace_back("--output=.batch/task-%a.txt");
  given.array = submitted(folder, "drives", "batch-block . .batch/blocks/\"$SLURM_ARRAY_TASK_ID\".jsonl", own);
  write_whole_file(numbers_file(folder), given.array + "\n", true);
  gather.push_back("--dependency=afterany:" + given.array);
  gather.emplace_back("--output=.batch/gather.txt");
  given.gather = submitted(folder, "gather", "batch-gather .", gather);
  write_whole_file(numbers_file(folder), given.array + "," + given.gather + "\n", true);
  return given;
}

void wait_for_slurm(const fs::path& folder, const std::function<void(std::size_t left)>& progress) {
  constexpr auto kLook = std::chrono::milliseconds(200);
  constexpr int kLooksAQuestion = 25;  // Slurm is asked each 5 s, as its controller serves many
  const fs::path mark = own_folder(folder) / "gathered";
  for (int look = 0; !fs::exists(mark); ++look) {
    if (look % kLooksAQuestion == 0) {
      const std::size_t left = tasks_in_slurm(folder);
      if (left == 0) return;
      progress(left);
    }
    const StopDelay delay;
    std::this_thread::sleep_for(kLook);
    stop_if_asked();
  }
}

}  // namespace wainscot
