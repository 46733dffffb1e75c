#pragma once

// Functions that stand before those of the C library, in the test's own program, and make one call on a file go wrong:
// the manner of testing that SQLite's authors describe ("How SQLite Is Tested", sections 3.2 and 3.3: at the Nth call,
// for every N).

#include <string>

namespace wainscot {

struct Fault {
  /// Kinds of calls that count, joined by commas: open (for writing), make (of a folder), write, sync, rename, link,
  /// remove, and flags (a rename with flags, which then fails as on a file system that knows none); or memory alone,
  /// whose calls are those of operator new from the first call of `signal` on, with which the program's `main` begins.
  std::string calls;
  /// Which of them, from 1 on; 0 for none, "every" for all.
  std::string at = "0";
  /// What happens there: the name of an error (ENOSPC, EIO, EPERM) with which the call fails, of a signal (SIGKILL,
  /// SIGINT, SIGTERM, SIGHUP) that comes before it, or else a command for the shell that is run before it. Memory fails
  /// with std::bad_alloc, or where this is "logic_error" with that.
  std::string act;
};

/// From now on in this process, for files below the folder `below`. `list`: a file that gets a line for each call that
/// counts, and for memory one with their number at the process's end; or empty.
void go_wrong(const Fault& fault, const std::string& below, const std::string& list);

}  // namespace wainscot
