#include "io/files/stop_signal.hpp"

#include <csignal>
#include <fstream>
#include <functional>
#include <iterator>
#include <string>

#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <gtest/gtest.h>

#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

/// "STATUS: what it said on standard error", of a process that heeds the signals and then does `work`.
std::string ending_of(const std::function<void()>& work) {
  const ReaderFolder folder;
  const std::string said = folder.path() / "said";
  const pid_t child = ::fork();
  if (child == 0) {
    const int file = ::open(said.c_str(), O_WRONLY | O_CREAT, 0600);
    ::dup2(file, STDERR_FILENO);
    // Where the tests themselves run under nohup or in the background, these are ignored.
    for (const int signal : {SIGINT, SIGTERM, SIGHUP}) std::signal(signal, SIG_DFL);
    work();
    ::_exit(0);
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  std::ifstream in(said);
  return std::to_string(WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status)) + ": " +
         std::string(std::istreambuf_iterator<char>(in), {});
}

TEST(StopSignal, EndsTheProgramAtOnceWithALine) {
  for (const int signal : {SIGINT, SIGTERM, SIGHUP}) {
    const std::string ending = ending_of([signal] {
      heed_stop_signals();
      ::raise(signal);
    });
    EXPECT_EQ(ending, std::to_string(128 + signal) + ": " + stopped_line(signal));
  }
  EXPECT_STREQ(stopped_line(SIGINT), "wainscot: stopped by SIGINT; nothing half-written is left\n");
}

TEST(StopSignal, WaitsWhileSomethingIsWritten) {
  const std::string ending = ending_of([] {
    heed_stop_signals();
    stop_if_asked();
    const StopDelay outer;
    {
      const StopDelay inner;
      ::raise(SIGTERM);
    }
    try {
      stop_if_asked();
    } catch (const Stopped& stopped) {
      ::_exit(stopped.signal == SIGTERM ? 7 : 8);
    }
  });
  EXPECT_EQ(ending, "7: ");
}

TEST(StopSignal, EndsTheProgramWhenTheWritingIsDone) {
  const std::string ending = ending_of([] {
    heed_stop_signals();
    {
      const StopDelay writing;
      ::raise(SIGINT);
    }
    ::_exit(9);
  });
  EXPECT_EQ(ending, "130: " + std::string(stopped_line(SIGINT)));
}

// Work that goes on until somebody ends it: the first Ctrl-C is its end, the next one that of what comes after.
TEST(StopSignal, ThatWasTakenEndsNothing) {
  const std::string ending = ending_of([] {
    heed_stop_signals();
    {
      const StopDelay following;
      if (take_stop_signal()) ::_exit(9);
      ::raise(SIGINT);
      if (!take_stop_signal()) ::_exit(10);
      if (take_stop_signal()) ::_exit(11);
      stop_if_asked();
    }
    ::_exit(7);
  });
  EXPECT_EQ(ending, "7: ");
  const std::string twice = ending_of([] {
    heed_stop_signals();
    {
      const StopDelay following;
      ::raise(SIGINT);
      take_stop_signal();
      ::raise(SIGINT);
    }
    ::_exit(9);
  });
  EXPECT_EQ(twice, "130: " + std::string(stopped_line(SIGINT)));
}

TEST(StopSignal, WhatIsIgnoredStaysSo) {
  const std::string ending = ending_of([] {
    std::signal(SIGHUP, SIG_IGN);
    heed_stop_signals();
    ::raise(SIGHUP);
  });
  EXPECT_EQ(ending, "0: ");
}

}  // namespace
}  // namespace wainscot
