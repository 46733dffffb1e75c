// The program `wainscot`: commands, and what becomes of their errors.

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
#include <vector>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "apps/command_line.hpp"
#include "core/errors.hpp"
#include "core/nearest_name.hpp"
#include "io/files/stop_signal.hpp"
#include "io/spelling.hpp"

namespace {

constexpr int status_poor_data = 1;
constexpr int status_wrong_input = 2;

constexpr const char* short_of_memory = "wainscot: there is not enough memory; close other programs\n";
constexpr const char* short_of_memory_for_grid =
    "wainscot: there is not enough memory; close other programs or use a larger --cell-size\n";

void say(const std::string& sentence) { std::fputs(("wainscot: " + sentence + "\n").c_str(), stderr); }

/// The command that was given, or the program itself.
const CLI::App& innermost_command(const CLI::App& app) {
  const std::vector<CLI::App*> given = app.get_subcommands();
  return given.empty() ? app : *given.front();
}

/// Names that could have been meant: options where the word looks like one, otherwise commands.
std::vector<std::string> known_names(const CLI::App& app, bool options) {
  std::vector<std::string> names;
  if (options) {
    for (const CLI::Option* option : innermost_command(app).get_options()) {
      for (const std::string& name : option->get_lnames()) names.push_back("--" + name);
    }
  } else {
    for (const CLI::App* command : app.get_subcommands([](const CLI::App*) { return true; })) {
      names.push_back(command->get_name());
    }
  }
  return names;
}

std::string no_such(const CLI::App& app, const std::string& word, bool is_option, const std::string& help) {
  const std::vector<std::string> names = known_names(app, is_option);
  return fmt::format("there is no {} {}; did you mean {}? See {}", is_option ? "option" : "command",
                     wainscot::printable(word), names.at(wainscot::nearest_name(word, names)), help);
}

/// One line for a wrong command line.
std::string usage_sentence(const CLI::App& app, const CLI::ParseError& error) {
  const CLI::App& command = innermost_command(app);
  const std::string help = &command == &app ? "wainscot --help" : fmt::format("wainscot {} --help", command.get_name());
  const std::vector<std::string> surplus = app.remaining(true);
  for (const std::string& word : surplus) {
    const bool is_option = word.rfind('-', 0) == 0;
    if (!is_option && &command != &app) continue;
    return no_such(app, word, is_option, help);
  }
  if (!surplus.empty() && command.get_name() == "measure") {
    return "write each point as X,Y without blanks, as in wainscot measure my-map 0.7,-1.4 0.2,2.8; see " + help;
  }
  if (!surplus.empty()) {
    return fmt::format("{} is one word too many; quote names with spaces. See {}", wainscot::printable(surplus.front()),
                       help);
  }
  if (&command == &app && app.get_subcommands().empty()) return "no command was given; see " + help;
  std::string what = error.what();
  for (char& c : what) c = c == '\n' ? ' ' : c;
  return fmt::format("{}; see {}", what, help);
}

/// "help", "help COMMAND" and "version" as people type them: options of the program or of the command.
std::vector<std::string> words_of(const CLI::App& app, int argc, char** argv) {
  std::vector<std::string> words(argv + 1, argv + argc);
  if (words.size() == 1 && words.front() == "version") words.front() = "--version";
  if (!words.empty() && words.front() == "help") {
    words.erase(words.begin());
    const std::vector<std::string> commands = known_names(app, false);
    if (!words.empty() && std::find(commands.begin(), commands.end(), words.front()) == commands.end()) {
      throw wainscot::InputError(no_such(app, words.front(), false, "wainscot --help"));
    }
    words.emplace_back("--help");
  }
  std::reverse(words.begin(), words.end());  // as CLI11 takes them
  return words;
}

int run(int argc, char** argv) {
  const std::unique_ptr<CLI::App> commands = wainscot::command_line();
  CLI::App& app = *commands;
  try {
    app.parse(words_of(app, argc, argv));
    return 0;
  } catch (const CLI::Success& help_or_version) {
    return app.exit(help_or_version);
  } catch (const CLI::ParseError& error) {
    say(usage_sentence(app, error));
    return status_wrong_input;
  }
}

/// What a command printed may have met a full disk, or a pipe whose reader has gone.
void require_printed() {
  errno = 0;
  if (std::fflush(stdout) == 0 && std::ferror(stdout) == 0) return;
  throw wainscot::InputError(fmt::format("standard output cannot be written ({}); free some space or send it elsewhere",
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

// Some linear algebra libraries start a thread for each processor before main() begins, whose stacks count as memory
// that is used; under a limit of memory they then stop the program, or wait at its end for threads that could not be
// started. Nothing here gains by those threads. OpenBLAS asks this function of its own how many are wanted, and the
// program's is found first. Source: OpenBLAS 0.3, driver/others/memory.c, blas_get_cpu_number().
extern "C" [[gnu::visibility("default")]] int openblas_num_threads_env();
extern "C" int openblas_num_threads_env() { return 1; }

int main(int argc, char** argv) {
  // A limit on the size of files then ends a write with an error, which has a sentence, rather than the program.
  std::signal(SIGXFSZ, SIG_IGN);
  wainscot::heed_stop_signals();
  const bool makes_grid = argc > 1 && argv[1] == std::string_view("build");
  std::set_new_handler(note_shortage);
  std::set_terminate(makes_grid ? end_uncaught<true> : end_uncaught<false>);
  try {
    const int status = run(argc, argv);
    if (status == 0) require_printed();
    return status;
  } catch (const wainscot::Stopped& stopped) {
    std::fputs(stopped.what(), stderr);
    return 128 + stopped.signal;
  } catch (const wainscot::InputError& error) {
    say(error.what());
    return status_wrong_input;
  } catch (const wainscot::PoorData& error) {
    say(error.what());
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
    say(fmt::format("stopped by what the system refused ({}); look at the disk and at the permissions", error.what()));
    return status_wrong_input;
  } catch (const std::exception& error) {
    say(fmt::format("stopped by a fault of its own ({}); please report it with the command line", error.what()));
    return status_wrong_input;
  }
}
