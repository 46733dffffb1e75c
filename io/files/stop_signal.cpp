#include "io/files/stop_signal.hpp"

#include <array>
#include <atomic>
#include <cerrno>
#include <csignal>
#include <cstring>

#include <unistd.h>

namespace wainscot {
namespace {

// A handler of signals can reach nothing but what is global, and touch nothing but what is atomic and free of locks.
constexpr int kEnding = -1;            // in `delays`: the process ends, and nothing may be begun any more
std::atomic<int> delays{0};            // living StopDelays
std::atomic<int> asked{0};             // the last signal that came; 0: none
std::atomic<bool> on_terminal{false};  // a bar or the "^C" of a terminal stands in the line
static_assert(std::atomic<int>::is_always_lock_free);

void write_all(const char* text) {
  std::size_t left = std::strlen(text);
  while (left > 0) {
    const ssize_t written = ::write(STDERR_FILENO, text, left);
    if (written <= 0) return;
    text += written;
    left -= static_cast<std::size_t>(written);
  }
}

[[noreturn]] void end(int signal) {
  if (on_terminal) write_all("\r\x1b[K");
  write_all(stopped_line(signal));
  ::_exit(128 + signal);
}

void on_signal(int signal) {
  const int error_before = errno;
  asked = signal;
  int none = 0;
  if (delays.compare_exchange_strong(none, kEnding)) end(signal);
  errno = error_before;
}

}  // namespace

const char* stopped_line(int signal) {
  switch (signal) {
    case SIGINT:
      return "wainscot: stopped by SIGINT; nothing half-written is left\n";
    case SIGTERM:
      return "wainscot: stopped by SIGTERM; nothing half-written is left\n";
    case SIGHUP:
      return "wainscot: stopped by SIGHUP; nothing half-written is left\n";
    default:
      return "wainscot: stopped by a signal; nothing half-written is left\n";
  }
}

void heed_stop_signals() {
  on_terminal = ::isatty(STDERR_FILENO) == 1;
  for (const int signal : std::array{SIGINT, SIGTERM, SIGHUP}) {
    struct sigaction before {};
    if (::sigaction(signal, nullptr, &before) == 0 && before.sa_handler == SIG_IGN) continue;
    struct sigaction action {};
    action.sa_handler = on_signal;
    action.sa_flags = SA_RESTART;  // what reads or writes need not know of it
    ::sigaction(signal, &action, nullptr);
  }
}

StopDelay::StopDelay() {
  int now = delays;
  do {
    while (now == kEnding) ::pause();  // another thread is in `end`
  } while (!delays.compare_exchange_weak(now, now + 1));
}

StopDelay::~StopDelay() {
  if (--delays > 0 || asked == 0 || std::uncaught_exceptions() > 0) return;
  int none = 0;
  if (delays.compare_exchange_strong(none, kEnding)) end(asked);
}

bool take_stop_signal() { return asked.exchange(0) != 0; }

void stop_if_asked() {
  if (asked != 0) throw Stopped(asked);
}

}  // namespace wainscot
