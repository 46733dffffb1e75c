#include "apps/batch/child_process.hpp"

#include <array>
#include <cerrno>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <string_view>
#include <system_error>

#include <fcntl.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "io/files/descriptor.hpp"

namespace wainscot {
namespace {

constexpr int kNotStarted = 127;  // as shells count

/// Of what waitpid() tells.
int shell_status(int ended) { return WIFSIGNALED(ended) ? kSignalled + WTERMSIG(ended) : WEXITSTATUS(ended); }

/// In the child: becomes the program.
[[noreturn]] void become(const std::vector<std::string>& words) {
  std::vector<char*> arguments;
  for (const std::string& word : words)
    arguments.push_back(const_cast<char*>(word.c_str()));  // which execvp leaves alone
  arguments.push_back(nullptr);
  for (const int number : std::array{SIGINT, SIGTERM, SIGHUP, SIGXFSZ}) std::signal(number, SIG_DFL);
  ::execvp(arguments.front(), arguments.data());
  std::_Exit(kNotStarted);
}

void connect(const std::filesystem::path& file, int flags, int to) {
  const int opened = ::open(file.c_str(), flags, 0666);
  if (opened < 0 || ::dup2(opened, to) < 0) std::_Exit(kNotStarted);
}

[[noreturn]] void no_process() {
  throw InputError(fmt::format("the system starts no other process ({}); close other programs",
                               std::generic_category().message(errno)));
}

}  // namespace

int status_at_end(pid_t child) {
  int ended = 0;
  while (::waitpid(child, &ended, 0) < 0 && errno == EINTR) {  // asked again
  }
  return shell_status(ended);
}

ChildProcess::ChildProcess(const std::vector<std::string>& words, const ChildOptions& options) {
  std::fflush(nullptr);
  number_ = ::fork();
  if (number_ < 0) no_process();
  if (number_ > 0) {
    ::setpgid(number_, number_);
    return;
  }
  ::setpgid(0, 0);
  ::prctl(PR_SET_PDEATHSIG, SIGTERM);
  connect("/dev/null", O_RDONLY, STDIN_FILENO);
  if (!options.said.empty()) {
    connect(options.said, O_WRONLY | O_CREAT | O_TRUNC, STDOUT_FILENO);
    ::dup2(STDOUT_FILENO, STDERR_FILENO);
  }
  for (const auto& [name, value] : options.environment) ::setenv(name.c_str(), value.c_str(), 1);
  if (!options.folder.empty() && ::chdir(options.folder.c_str()) != 0) std::_Exit(kNotStarted);
  become(words);
}

ChildProcess::~ChildProcess() {
  if (status()) return;
  ::kill(-number_, SIGKILL);
  ::waitpid(number_, nullptr, 0);
}

std::optional<int> ChildProcess::status() {
  int ended = 0;
  if (!status_ && ::waitpid(number_, &ended, WNOHANG) == number_) status_ = shell_status(ended);
  return status_;
}

void ChildProcess::ask_to_end() {
  if (!status()) ::kill(number_, SIGTERM);
}

bool is_installed(const std::string& program) {
  const char* path = std::getenv("PATH");
  std::string_view folders = path == nullptr ? "/usr/bin:/bin" : path;
  while (true) {
    const std::size_t end = std::min(folders.find(':'), folders.size());
    const std::filesystem::path file = std::filesystem::path(folders.substr(0, end)) / program;
    std::error_code error;
    if (std::filesystem::is_regular_file(file, error) && ::access(file.c_str(), X_OK) == 0) return true;
    if (end == folders.size()) return false;
    folders.remove_prefix(end + 1);
  }
}

ProgramOutput output_of(const std::vector<std::string>& words, ErrorWords errors) {
  std::array<int, 2> ends{};
  if (::pipe2(ends.data(), O_CLOEXEC) != 0) no_process();
  const Descriptor read_end(ends[0]);
  Descriptor write_end(ends[1]);
  std::fflush(nullptr);
  const pid_t child = ::fork();
  if (child < 0) no_process();
  if (child == 0) {
    connect("/dev/null", O_RDWR, STDIN_FILENO);
    ::dup2(write_end.number(), STDOUT_FILENO);
    ::dup2(errors == ErrorWords::left_out ? STDIN_FILENO : STDOUT_FILENO, STDERR_FILENO);
    become(words);
  }
  write_end = Descriptor();
  ProgramOutput output;
  std::array<char, 4096> block{};
  for (ssize_t got = 1; got > 0;) {
    got = ::read(read_end.number(), block.data(), block.size());
    if (got > 0) output.out.append(block.data(), static_cast<std::size_t>(got));
    if (got < 0 && errno == EINTR) got = 1;
  }
  output.status = status_at_end(child);
  return output;
}

std::filesystem::path own_program() { return std::filesystem::read_symlink("/proc/self/exe"); }

}  // namespace wainscot
