#pragma once

// The real program while it runs, beside a test that goes on.

#include <array>
#include <csignal>
#include <filesystem>
#include <string>

#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "tests/apps/comes_true.hpp"
#include "tests/apps/command_line.hpp"
#include "tests/apps/has.hpp"

namespace wainscot {

/// Ends with its owner, if it has not ended before.
class RunningProgram {
 public:
  /// Runs `wainscot ARGUMENTS` in a folder, as from a terminal, where signals are not ignored.
  RunningProgram(const std::filesystem::path& folder, const std::string& arguments) {
    std::string line = fmt::format("cd '{}' && exec '{}' {} >'{}' 2>'{}' </dev/null", folder.string(), WAINSCOT_PROGRAM,
                                   arguments, out().string(), err().string());
    std::string shell = "sh";
    std::string option = "-c";
    std::array<char*, 4> words = {shell.data(), option.data(), line.data(), nullptr};
    sigset_t heeded;
    sigemptyset(&heeded);
    for (const int signal : {SIGINT, SIGTERM, SIGHUP}) sigaddset(&heeded, signal);
    posix_spawnattr_t attributes;
    posix_spawnattr_init(&attributes);
    posix_spawnattr_setsigdefault(&attributes, &heeded);
    posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETSIGDEF);
    EXPECT_EQ(posix_spawn(&process_, "/bin/sh", nullptr, &attributes, words.data(), environ), 0);
    posix_spawnattr_destroy(&attributes);
  }
  RunningProgram(const RunningProgram&) = delete;
  RunningProgram& operator=(const RunningProgram&) = delete;
  ~RunningProgram() {
    if (process_ <= 0) return;
    ::kill(process_, SIGKILL);
    ::waitpid(process_, nullptr, 0);
  }

  void signal(int number) const { ASSERT_EQ(::kill(process_, number), 0); }

  std::string said() const { return content(err()); }
  std::string printed() const { return content(out()); }
  bool says(const std::string& part) const {
    return comes_true([&] { return has(said(), part); });
  }

  /// Waits for its end.
  Outcome end() {
    int status = 0;
    EXPECT_TRUE(comes_true([&] { return ::waitpid(process_, &status, WNOHANG) == process_; })) << said();
    process_ = 0;
    return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, printed(), said()};
  }

 private:
  std::filesystem::path out() const { return logs_.path() / "out"; }
  std::filesystem::path err() const { return logs_.path() / "err"; }

  ReaderFolder logs_;
  pid_t process_ = 0;
};

}  // namespace wainscot
