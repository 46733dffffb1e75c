#include "apps/batch/gnu_parallel.hpp"

#include <algorithm>
#include <chrono>
#include <fstream>
#include <optional>
#include <string>
#include <system_error>
#include <thread>

#include <fmt/format.h>

#include "apps/batch/child_process.hpp"
#include "core/errors.hpp"
#include "io/files/stop_signal.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

/// Counts the lines of a file that grows.
class LineCount {
 public:
  explicit LineCount(const fs::path& file) : file_(file) {}
  std::size_t now() {
    std::ifstream in(file_, std::ios::binary);
    in.seekg(read_);
    for (char block[4096]; in.read(block, sizeof block), in.gcount() > 0;) {
      lines_ += static_cast<std::size_t>(std::count(block, block + in.gcount(), '\n'));
      read_ += in.gcount();
    }
    return lines_;
  }

 private:
  fs::path file_;
  std::streamoff read_ = 0;
  std::size_t lines_ = 0;
};

/// The engine's own words, for when it fails.
std::string end_of(const fs::path& file) {
  std::ifstream in(file);
  std::string last;
  for (std::string line; std::getline(in, line);) {
    if (!line.empty()) last = line;
  }
  return printable(last, 200);
}

/// Asked once it begins no more jobs, asked twice it ends those that run: parallel(1), --termseq.
void end_with_its_jobs(ChildProcess& parallel) {
  constexpr auto kBetween = std::chrono::milliseconds(300);  // until it has heeded the first; its own steps are shorter
  constexpr int kMostTimes = 20;
  for (int i = 0; i < kMostTimes && !parallel.status(); ++i) {
    parallel.ask_to_end();
    std::this_thread::sleep_for(kBetween);
  }
}

}  // namespace

void require_gnu_parallel() {
  if (is_installed("parallel") && output_of({"parallel", "--version"}).out.starts_with("GNU parallel")) return;
  throw InputError("GNU parallel is not installed, which runs the jobs on this machine: sudo apt install parallel");
}

void run_by_gnu_parallel(const fs::path& folder, const std::vector<BatchJob>& jobs, int at_once,
                         const std::function<void(std::size_t ended)>& progress) {
  constexpr auto kLook = std::chrono::milliseconds(20);
  constexpr int kWorst = 101;  // statuses up to this one are numbers of jobs that failed: parallel(1), EXIT STATUS
  const fs::path own = own_folder(fs::absolute(folder));
  write_job_lines(own / "todo.jsonl", jobs);
  const fs::path log = own / "joblog";
  std::error_code none;
  fs::remove(log, none);
  // Not --memfree: looking at the memory takes parallel 0.15 s of processor time a job; the job does it (job_run).
  // In the batch's folder, so that no name of it passes through parallel's own notation of arguments.
  const std::vector<std::string> words = {"parallel",
                                          "--plain",
                                          "--will-cite",
                                          "--ungroup",
                                          "--jobs",
                                          std::to_string(at_once),
                                          "--retries",
                                          "3",
                                          "--joblog",
                                          ".batch/joblog",
                                          "--arg-file",
                                          ".batch/todo.jsonl",
                                          "\"$WAINSCOT_PROGRAM\" batch-job . {}"};
  ChildOptions child;
  child.folder = folder;
  child.environment = {{"WAINSCOT_PROGRAM", own_program().string()},
                       {"PARALLEL_SHELL", "/bin/sh"},
                       {"PARALLEL_HOME", (own / "parallel").string()},
                       {"LC_ALL", "C"}};
  child.said = own / "engine.txt";
  const StopDelay delay;
  ChildProcess parallel(words, child);
  LineCount ended(log);
  std::optional<int> status;
  while (!(status = parallel.status())) {
    std::this_thread::sleep_for(kLook);
    const std::size_t lines = ended.now();  // the first one names the columns
    progress(lines > 0 ? lines - 1 : 0);
    try {
      stop_if_asked();
    } catch (const Stopped&) {
      end_with_its_jobs(parallel);
      throw;
    }
  }
  if (*status > kWorst) {
    throw InputError(
        fmt::format("GNU parallel ended with status {} ({}); run the same command again", *status, end_of(child.said)));
  }
}

}  // namespace wainscot
