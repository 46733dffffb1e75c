#include "apps/explain.hpp"

#include <cstdio>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>

#include <fmt/format.h>

#include "apps/lessons.hpp"
#include "apps/option_values.hpp"
#include "apps/print_result.hpp"
#include "apps/progress_bar.hpp"
#include "core/errors.hpp"
#include "graph/mapping/stage_traces.hpp"
#include "graph/motion/usable_drive.hpp"
#include "io/files/folder_kind.hpp"
#include "io/files/whole_file.hpp"
#include "io/log/drive_reader.hpp"
#include "io/log/simulated_mark.hpp"
#include "io/page/explain_page.hpp"
#include "io/page/files.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

struct ExplainCommand {
  std::filesystem::path drive = "data/demo/drive";
  std::filesystem::path out;  ///< empty: not wanted
  std::optional<int> lesson;
  bool answers = false;
  bool replace = false;
  bool quiet = false;
  ExplainOptions options;
};

/// Before the long work: wishes that contradict each other, and what would stop the writing at the end.
void check(const ExplainCommand& command) {
  if (command.out.empty() && !command.lesson) {
    throw InputError("say what to make: --out explain.html for the page, or --lesson 1 for the first lesson");
  }
  if (command.answers && !command.lesson) {
    throw InputError("--answers belongs to a lesson: add --lesson N, or leave it out");
  }
  if (command.out.empty()) return;
  check_whole_file_destination(command.out, command.replace);
}

/// Without DRIVE the demonstration's is taken, which is at hand in the sources' folder only.
void check_is_there(const ExplainCommand& command) {
  if (command.drive != ExplainCommand().drive || std::filesystem::exists(command.drive)) return;
  throw InputError(fmt::format(
      "{}, the demonstration's drive, is not here: name a drive's folder, as in wainscot explain "
      "my-drive{}",
      command.drive.string(), command.lesson ? fmt::format(" --lesson {}", *command.lesson) : " --out explain.html"));
}

/// A map holds no scans as they were recorded, so that nothing of it can be explained.
void check_is_no_map(const std::filesystem::path& folder) {
  if (!is_map_folder(folder)) return;
  throw InputError(
      fmt::format("{} is a map; give the folder of the drive that it was made from", printable(folder.string(), 200)));
}

void check_time(const Drive& drive, const ExplainCommand& command) {
  if (!command.options.match_at_s || drive.scans.empty()) return;
  const double at_s = *command.options.match_at_s;
  if (at_s >= drive.scans.front().time_s && at_s <= drive.scans.back().time_s) return;
  throw InputError(
      fmt::format("--match-at {:g}: the drive's scans lie between {:.1f} and {:.1f} s; choose a time between", at_s,
                  drive.scans.front().time_s, drive.scans.back().time_s));
}

void write_page(const ExplainCommand& command, const DriveExplanation& explanation, const Drive& drive,
                bool simulated) {
  const std::string page = explain_page(explanation, drive.name, {WAINSCOT_VERSION, simulated, true});
  write_whole_file(command.out, page, command.replace);
  if (command.quiet) return;
  const char* matching =
      matcher_wasm().empty()
          ? "This build found no compiler for WebAssembly, so the page shows precomputed matches; sh "
            "apps/install_packages.sh wasm and a new build let its sliders run the matcher."
          : "Its sliders run the project's own matcher in the page.";
  std::fputs(fmt::format("Wrote {} ({:.1f} MB); open it in a browser. {}\nQuestions about it, with answers that can be "
                         "checked: wainscot explain {} --lesson 1\n",
                         printable(command.out.string(), 200), static_cast<double>(page.size()) / 1e6, matching,
                         shell_word(command.drive.string()))
                 .c_str(),
             stderr);
}

void run_explain(const ExplainCommand& command) {
  check(command);
  check_is_there(command);
  check_is_no_map(command.drive);
  ProgressBar bar(!command.quiet);
  const Drive drive =
      usable_drive(read_drive(command.drive, [&bar](double fraction) { bar.show("reading", 0.05 * fraction); }));
  check_time(drive, command);
  const bool simulated = is_marked_simulated(command.drive);
  const DriveExplanation explanation =
      explain_drive(drive, command.options, [&bar](const std::string& stage, double fraction) {
        if (fraction < 1.0) bar.show(stage, 0.05 + 0.95 * fraction);
      });
  bar.wipe();
  if (!command.out.empty()) write_page(command, explanation, drive, simulated);
  if (!command.lesson) return;
  const std::string words = shell_word(command.drive.string());
  print_result(lesson_text(*command.lesson, lesson(*command.lesson, {drive, explanation, words}), words, simulated,
                           command.answers));
}

}  // namespace

void add_explain(CLI::App& app) {
  auto command = std::make_shared<ExplainCommand>();
  CLI::App* explain = app.add_subcommand("explain",
                                         "Make a page that steps through your drive (one match, the graph, one cell, "
                                         "the walls together), or print a lesson about it.");
  explain->add_option("DRIVE", command->drive, "the folder of a recorded drive")->capture_default_str();
  explain->add_option("--out", command->out, "the page, to be made")->type_name("PAGE.html");
  explain->add_option("--match-at", command->options.match_at_s, "explain the match next to this time of the drive")
      ->type_name("SECONDS");
  explain->add_option("--lesson", command->lesson, "print a lesson: questions that other commands answer")
      ->type_name("N")
      ->check(whole_number_from(1, number_of_lessons));
  explain->add_flag("--answers", command->answers, "print the lesson's answers too");
  explain->add_option("--threads", command->options.threads, "0: as many as the machine has")
      ->type_name("N")
      ->check(whole_number_from(0, 256))
      ->capture_default_str();
  explain->add_flag("--replace", command->replace, "replace the file that stands at --out");
  explain->add_flag("--quiet", command->quiet, "say nothing but errors");
  explain->footer(
      "Example:\n  wainscot explain data/demo/drive --out explain.html\n  wainscot explain --lesson 1 --answers");
  explain->callback([command] { run_explain(*command); });
}

}  // namespace wainscot
