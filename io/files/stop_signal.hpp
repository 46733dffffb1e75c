#pragma once

// SIGINT (Ctrl-C), SIGTERM and SIGHUP end the program with one line, and leave nothing half-written.

#include <exception>

namespace wainscot {

/// From here on each of these signals ends the process: `stopped_line` on standard error, status 128 + signal, as
/// shells count. At once where nothing is being written; else, while a `StopDelay` lives, `stop_if_asked` throws. A
/// signal that is ignored stays ignored (nohup). To be called once, by the program.
void heed_stop_signals();

/// The line that says so, with the program's name and the line's end; of another signal than these one without its
/// name.
const char* stopped_line(int signal);

/// Thrown where a signal came while something was being written, so that it is removed again.
struct Stopped : std::exception {
  explicit Stopped(int number) : signal(number) {}
  const char* what() const noexcept override { return stopped_line(signal); }
  int signal;
};

/// While one lives, signals wait. Where the last one ends and a signal has come, the process ends, if no exception is
/// under way that ends it.
class StopDelay {
 public:
  StopDelay();
  StopDelay(const StopDelay& /*other*/) : StopDelay() {}
  StopDelay& operator=(const StopDelay& /*other*/) { return *this; }
  ~StopDelay();
};

/// Whether a signal has come that waits; it is then forgotten. For work that goes on until somebody ends it, and has an
/// end of its own.
bool take_stop_signal();

/// Throws `Stopped` where a signal has come that waits. To be asked before each step of the writing.
void stop_if_asked();

}  // namespace wainscot
