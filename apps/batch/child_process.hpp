#pragma once

// Other programs, run as children.

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include <sys/types.h>

namespace wainscot {

inline constexpr int kSignalled = 128;  ///< added to the number of the signal that ended a process, as shells count

/// Waits for a child's end: its status, or `kSignalled` and the number of the signal that ended it.
int status_at_end(pid_t child);

struct ChildOptions {
  std::filesystem::path folder;                    ///< to run in; empty: here
  std::map<std::string, std::string> environment;  ///< beside what it inherits
  std::filesystem::path said;                      ///< takes both outputs; empty: they are inherited
};

/// A program that runs in a group of processes of its own and is asked to end (SIGTERM) when this process ends.
class ChildProcess {
 public:
  /// `words`: the program, looked for where the shell does, and its arguments. Throws `InputError` where the system
  /// cannot start another process.
  ChildProcess(const std::vector<std::string>& words, const ChildOptions& options);
  ChildProcess(const ChildProcess&) = delete;
  ChildProcess& operator=(const ChildProcess&) = delete;
  /// Where it still runs, it and its group are killed.
  ~ChildProcess();

  /// Its status, 128 + signal where one ended it; none: it runs.
  std::optional<int> status();
  /// Asks it to end (SIGTERM).
  void ask_to_end();

 private:
  pid_t number_ = -1;
  std::optional<int> status_;
};

/// Whether there is such a program where the shell would look.
bool is_installed(const std::string& program);

struct ProgramOutput {
  int status = 0;
  std::string out;
};

enum class ErrorWords { left_out, with_the_others };

/// Runs a program to its end; of what it says on standard error as `errors` says. Throws `InputError` as ChildProcess
/// does.
ProgramOutput output_of(const std::vector<std::string>& words, ErrorWords errors = ErrorWords::left_out);

/// The file that this process runs.
std::filesystem::path own_program();

}  // namespace wainscot
