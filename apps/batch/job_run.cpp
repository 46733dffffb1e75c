#include "apps/batch/job_run.hpp"

#include <array>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <exception>
#include <fstream>
#include <limits>
#include <optional>
#include <string>
#include <system_error>
#include <thread>
#include <vector>

#include <fcntl.h>
#include <sys/file.h>
#include <sys/prctl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fmt/format.h>

#include "apps/batch/child_process.hpp"
#include "apps/batch/job_state.hpp"
#include "apps/batch/job_words.hpp"
#include "apps/compared_side.hpp"
#include "apps/program.hpp"
#include "core/errors.hpp"
#include "core/path_comparison.hpp"
#include "io/files/descriptor.hpp"
#include "io/files/folder_kind.hpp"
#include "io/files/pose_table.hpp"
#include "io/files/shown.hpp"
#include "io/files/whole_file.hpp"
#include "io/map/map_folder.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

constexpr const char* kResult = "result.txt";

/// The folder of one job, locked while this lives, where the file system can.
class JobFolder {
 public:
  explicit JobFolder(const fs::path& path) : was_there_(::mkdir(path.c_str(), 0777) != 0) {
    descriptor_ = Descriptor(::open(path.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
    if (!descriptor_.valid()) {
      throw InputError(fmt::format("{}: cannot be made ({})", shown(path), std::generic_category().message(errno)));
    }
    is_taken_ = ::flock(descriptor_.number(), LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK;
  }
  bool was_there() const { return was_there_; }
  bool is_taken() const { return is_taken_; }

 private:
  bool was_there_;
  bool is_taken_ = false;
  Descriptor descriptor_;
};

void redirect(const char* name, int flags, int to) {
  const int file = ::open(name, flags | O_CLOEXEC, 0666);
  if (file < 0 || ::dup2(file, to) < 0) std::_Exit(kSignalled + SIGKILL);  // as if killed: nothing can be told
}

/// In the process that shall be the command.
[[noreturn]] void be_the_command(const fs::path& folder, const std::vector<std::string>& words) {
  ::prctl(PR_SET_PDEATHSIG, SIGKILL);  // whoever kills the worker means this, too
  if (::chdir(folder.c_str()) != 0) std::_Exit(kSignalled + SIGKILL);
  redirect("/dev/null", O_RDONLY, STDIN_FILENO);
  redirect(kResult, O_WRONLY | O_CREAT | O_TRUNC, STDOUT_FILENO);
  redirect(kSaidFile, O_WRONLY | O_CREAT | O_TRUNC, STDERR_FILENO);
  std::vector<const char*> line;
  for (const std::string& word : words) line.push_back(word.c_str());
  const int status = run_program(static_cast<int>(line.size()), line.data());
  std::fflush(nullptr);
  std::_Exit(status);
}

/// The command's status; none where a signal from outside ended it.
std::optional<int> status_of_command(const fs::path& folder, const std::vector<std::string>& words) {
  std::fflush(nullptr);
  const pid_t child = ::fork();
  if (child < 0) return std::nullopt;
  if (child == 0) be_the_command(folder, words);
  const int status = status_at_end(child);
  for (const int from_outside : std::array{SIGKILL, SIGTERM, SIGINT, SIGHUP}) {
    if (status == kSignalled + from_outside) return std::nullopt;
  }
  return status;
}

/// What the command said when it ended badly.
std::string sentence_of(const fs::path& folder, int status) {
  std::string sentence = last_said(folder);
  if (!sentence.empty() && status < kSignalled) return sentence;
  if (status == 1) return "its findings are in result.txt";
  return fmt::format("ended by a fault of its own, with status {}; please report it with the drive", status);
}

/// Whether the sentence tells of the machine or of what is written there, not of the drive: what came of that is not
/// worth keeping.
bool tells_of_machine(const std::string& sentence, const fs::path& folder) {
  if (sentence.starts_with(shown(fs::absolute(folder))) || sentence.starts_with("map: ")) return true;
  for (const int number : std::array{ENOSPC, EDQUOT, EIO, ENOMEM, EMFILE, ENFILE, EROFS, ESTALE, EAGAIN}) {
    if (sentence.find(std::generic_category().message(number)) != std::string::npos) return true;
  }
  for (const char* words : {"not enough memory", "disk is full", "disk may be full"}) {
    if (sentence.find(words) != std::string::npos) return true;
  }
  return false;
}

std::optional<TruthErrors> errors_of_map(const fs::path& map, const fs::path& truth) {
  std::error_code error;
  if (!fs::exists(truth, error) || !is_map_folder(map)) return std::nullopt;
  try {
    ComparedSide side = read_side(map);
    choose_drive(side, 1);
    const PathComparison path = compare_path("found", side.found, read_pose_table(truth));
    constexpr double kDegrees = 57.29577951308232;
    return TruthErrors{path.error.position_rmse_m, path.error.position_max_m, path.error.heading_rmse_rad * kDegrees};
  } catch (const std::exception&) {  // a truth of other times, or none: the map is what was asked for
    return std::nullopt;
  }
}

/// What programs could still have, as Linux reckons it (proc(5)); a great deal where that is not told.
long free_memory_mb() {
  constexpr long kKilobytes = 1000;
  std::ifstream in("/proc/meminfo");
  for (std::string name; in >> name;) {
    long value = 0;
    if (name == "MemAvailable:" && in >> value) return value / kKilobytes;
    in.ignore(std::numeric_limits<std::streamsize>::max(), '\n');
  }
  return std::numeric_limits<long>::max();
}

/// Other jobs end and give back what they have; where nothing comes back in a minute, others than this batch have it,
/// and what one job needs was a guess.
void wait_for_memory(int megabytes) {
  constexpr auto kLook = std::chrono::milliseconds(200);
  constexpr int kLooks = 300;
  for (int look = 0; look < kLooks && free_memory_mb() < megabytes; ++look) std::this_thread::sleep_for(kLook);
}

ino_t number_of(const fs::path& path) {
  struct stat is {};
  return ::stat(path.c_str(), &is) == 0 ? is.st_ino : 0;
}

/// A map of before, in whose place the job has put none: it would pass for this drive's.
void remove_old_map(const fs::path& map) {
  check_map_destination(map, true);  // throws where others have put files into it
  std::error_code error;
  fs::remove_all(map, error);
}

}  // namespace

JobEnd run_job(const fs::path& folder, const BatchCommand& command, const BatchJob& job) {
  const fs::path own = folder / job.name;
  const JobFolder lock(own);
  if (lock.is_taken()) return JobEnd::elsewhere;
  if (done_record(folder, command, job)) return JobEnd::recorded;
  std::error_code error;
  fs::remove(own / "job.json", error);
  JobRecord record = expected_record(command, job);
  if (command.memory_mb > 0) wait_for_memory(command.memory_mb);
  const fs::path map = own / "map";
  const ino_t before = number_of(map);
  const std::optional<int> status = status_of_command(own, job_words(command, job, lock.was_there()));
  if (!status) return JobEnd::killed;
  record.status = *status;
  if (record.status != 0) record.sentence = sentence_of(own, record.status);
  if (tells_of_machine(record.sentence, own)) return JobEnd::killed;
  if (fs::file_size(own / kResult, error) == 0) fs::remove(own / kResult, error);
  if (before != 0 && number_of(map) == before) remove_old_map(map);
  if (command.words.front() == "build") record.truth = errors_of_map(map, job.drive / "truth.csv");
  write_whole_file(own / "job.json", job_record_json(record), true);
  return JobEnd::recorded;
}

}  // namespace wainscot
