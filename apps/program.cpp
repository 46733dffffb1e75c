#include "apps/program.hpp"

#include <algorithm>
#include <cerrno>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <exception>
#include <memory>
#include <new>
#include <string>
#include <string_view>
#include <system_error>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "apps/batch/worker.hpp"
#include "apps/command_line.hpp"
#include "apps/usage.hpp"
#include "core/errors.hpp"
#include "io/files/stop_signal.hpp"

namespace wainscot {
namespace {

constexpr int status_poor_data = 1;
constexpr int status_wrong_input = 2;

constexpr const char* short_of_memory = "wainscot: there is not enough memory; close other programs\n";
constexpr const char* short_of_memory_for_grid =
    "wainscot: there is not enough memory; close other programs or use a larger --cell-size\n";

void tell_error(const std::string& sentence) { std::fputs(("wainscot: " + sentence + "\n").c_str(), stderr); }

/// Parses the line, which runs its command.
int run(std::vector<std::string> words) {
  const std::unique_ptr<CLI::App> commands = command_line();
  CLI::App& app = *commands;
  try {
    words = words_as_typed(app, std::move(words));
    std::reverse(words.begin(), words.end());  // as CLI11 takes them
    app.parse(words);
    return 0;
  } catch (const CLI::Success& help_or_version) {
    return app.exit(help_or_version);
  } catch (const CLI::ParseError& error) {
    tell_error(usage_sentence(app, error));
    return status_wrong_input;
  }
}

/// What a command printed may have met a full disk, or a pipe whose reader has gone.
void require_printed() {
  errno = 0;
  if (std::fflush(stdout) == 0 && std::ferror(stdout) == 0) return;
  throw InputError(fmt::format("standard output cannot be written ({}); free some space or send it elsewhere",
                               errno != 0 ? std::generic_category().message(errno) : "the disk may be full"));
}

/// Whether the system had too little of something: threads, open files, memory.
bool is_shortage(const std::error_code& code) {
  for (const std::errc short_of : {std::errc::resource_unavailable_try_again, std::errc::not_enough_memory,
                                   std::errc::too_many_files_open, std::errc::too_many_files_open_in_system}) {
    if (code == short_of) return true;
  }
  return false;
}

/// Ends the program after a shortage, and takes no memory for it. The libraries' own ends are left out: they may wait
/// for threads that never began.
[[noreturn]] void end_short(const char* line) {
  std::fputs(line, stderr);
  std::fflush(nullptr);
  std::_Exit(status_poor_data);
}

/// Whether memory was asked for in vain: a library may end then with an exception of another kind, or with none.
std::sig_atomic_t was_short = 0;

[[noreturn]] void note_shortage() {
  was_short = 1;
  throw std::bad_alloc();
}

/// What `main` cannot catch: an exception out of a destructor, as of a library's that wants memory.
template <bool makes_grid>
[[noreturn]] void end_uncaught() {
  try {
    if (std::current_exception() != nullptr) throw;
  } catch (const std::bad_alloc&) {
    end_short(makes_grid ? short_of_memory_for_grid : short_of_memory);
  } catch (...) {  // said below
  }
  if (was_short != 0) end_short(makes_grid ? short_of_memory_for_grid : short_of_memory);
  std::fputs("wainscot: stopped by a fault of its own; please report it with the command line\n", stderr);
  std::fflush(stderr);  // which abort() need not do
  std::abort();
}

}  // namespace

int run_program(int count, const char* const* words) {
  const bool makes_grid = count > 0 && words[0] == std::string_view("build");
  std::set_new_handler(note_shortage);
  std::set_terminate(makes_grid ? end_uncaught<true> : end_uncaught<false>);
  try {
    const std::vector<std::string> line(words, words + count);
    const int status = is_batch_worker(line) ? run_batch_worker(line) : run(line);
    if (status == 0) require_printed();
    return status;
  } catch (const Stopped& stopped) {
    std::fputs(stopped.what(), stderr);
    return 128 + stopped.signal;
  } catch (const InputError& error) {
    tell_error(error.what());
    return status_wrong_input;
  } catch (const PoorData& error) {
    tell_error(error.what());
    return status_poor_data;
  } catch (const std::bad_alloc&) {
    end_short(makes_grid ? short_of_memory_for_grid : short_of_memory);
  } catch (const std::system_error& error) {
    if (is_shortage(error.code())) {
      const std::string line = fmt::format(
          "wainscot: the system gives no more threads, open files or memory ({}); close other programs, or raise "
          "the limits that ulimit -a shows\n",
          error.code().message());
      end_short(line.c_str());
    }
    tell_error(
        fmt::format("stopped by what the system refused ({}); look at the disk and at the permissions", error.what()));
    return status_wrong_input;
  } catch (const std::exception& error) {
    tell_error(fmt::format("stopped by a fault of its own ({}); please report it with the command line", error.what()));
    return status_wrong_input;
  }
}

}  // namespace wainscot
