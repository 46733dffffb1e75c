#include "apps/batch/worker.hpp"

#include <filesystem>

#include "apps/batch/batch_folder.hpp"
#include "apps/batch/job_run.hpp"
#include "apps/batch/job_state.hpp"
#include "core/errors.hpp"
#include "io/files/whole_file.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

int run_jobs(const fs::path& folder, const std::vector<BatchJob>& jobs) {
  const BatchCommand command = read_batch_command(folder);
  int status = 0;
  for (const BatchJob& job : jobs) {
    if (run_job(folder, command, job) == JobEnd::killed) status = 1;
  }
  return status;
}

int gather(const fs::path& folder) {
  const std::vector<BatchJob> jobs = read_job_lines(own_folder(folder) / "jobs.jsonl");
  write_whole_file(folder / "results.csv", results_csv(job_results(folder, jobs)), true);
  write_whole_file(own_folder(folder) / "gathered", "", true);
  return 0;
}

}  // namespace

bool is_batch_worker(const std::vector<std::string>& words) {
  return !words.empty() && words.front().starts_with("batch-");
}

int run_batch_worker(const std::vector<std::string>& words) {
  if (words.size() == 2 && words.front() == "batch-gather") return gather(words[1]);
  if (words.size() == 3 && words.front() == "batch-job") return run_jobs(words[1], {job_of_line(words[2])});
  if (words.size() == 3 && words.front() == "batch-block") return run_jobs(words[1], read_job_lines(words[2]));
  throw InputError(
      "batch-job, batch-block and batch-gather are for the engines of wainscot batch; see wainscot batch --help");
}

}  // namespace wainscot
