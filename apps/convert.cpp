#include "apps/convert.hpp"

#include <unistd.h>

#include <cstdio>
#include <filesystem>
#include <iostream>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <system_error>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "apps/convert_account.hpp"
#include "apps/guess_questions.hpp"
#include "apps/loggers/example_logger.hpp"
#include "apps/progress_bar.hpp"
#include "core/errors.hpp"
#include "io/convert/column_guess.hpp"
#include "io/convert/columns_yaml.hpp"
#include "io/convert/drive_conversion.hpp"
#include "io/convert/guess_text.hpp"
#include "io/convert/guessed_robot.hpp"
#include "io/convert/log_sample.hpp"
#include "io/convert/starter_robot.hpp"
#include "io/files/file_reader.hpp"
#include "io/files/output_files.hpp"
#include "io/files/shown.hpp"
#include "io/files/stop_signal.hpp"
#include "io/files/whole_file.hpp"
#include "io/log/drive_reader.hpp"
#include "io/robot/robot_yaml.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

struct ConvertOptions {
  std::vector<fs::path> logs;
  fs::path columns;
  bool guess = false;  ///< in place of `columns`
  fs::path out;
  fs::path robot;  ///< empty: not given
  bool replace = false;
  bool quiet = false;
  std::string example;  ///< the name of an example logger, in place of all else
};

/// What this command makes in a drive's folder, and therefore takes away with --replace.
const std::set<fs::path>& own_files() {
  static const std::set<fs::path> names = {"wheels.csv",  "odometry.csv", "gyro.csv",  "scans.csv",
                                           "returns.csv", "columns.yaml", "robot.yaml"};
  return names;
}

/// What stands where in the logs, and from where that is known.
struct KnownColumns {
  LogColumns columns;
  std::string text;                  ///< of columns.yaml
  std::optional<ColumnGuess> guess;  ///< nullopt: the user's own columns.yaml
};

/// Questions are asked of people only, and where they would see the answer.
bool someone_is_there(const ConvertOptions& options) {
  return !options.quiet && isatty(STDIN_FILENO) == 1 && isatty(STDERR_FILENO) == 1;
}

KnownColumns known_columns(const ConvertOptions& options) {
  if (options.columns.empty() && !options.guess) {
    throw InputError(
        "convert has to know what stands where in the logs: give a columns.yaml with --columns, or --guess for one "
        "that is made from the logs themselves");
  }
  if (!options.guess) {
    return {read_columns_yaml(options.columns), read_small_file(options.columns, kLargestRobotFile, nullptr), {}};
  }
  std::vector<std::string> names;
  for (const fs::path& log : options.logs) names.push_back(log.filename().string());
  const AskUser ask = someone_is_there(options) ? guess_questions(std::cin, std::cerr) : AskUser{};
  ColumnGuess guess = guess_columns(read_log_sample(options.logs, names), ask);
  return {guess.columns, columns_yaml_text(guess.columns, guess_notes(guess.items)), guess};
}

RobotFile write_robot(const ConvertOptions& options, const KnownColumns& known, const fs::path& folder) {
  const fs::path old = options.out / "robot.yaml";
  const bool is_kept = options.robot.empty() && fs::exists(old);
  const bool is_starter = options.robot.empty() && !is_kept;
  write_new_file(folder / "robot.yaml",
                 is_starter ? known.guess ? guessed_robot_yaml(*known.guess) : starter_robot_yaml(known.columns)
                            : read_small_file(is_kept ? old : options.robot, kLargestRobotFile, nullptr));
  if (is_starter) return known.guess && known.guess->robot_is_known ? RobotFile::guessed : RobotFile::starter;
  return is_kept ? RobotFile::kept : RobotFile::given;
}

/// A sentence about the folder where the drive is made, as one about the drive.
std::string about_drive(std::string sentence, const fs::path& made, const fs::path& drive) {
  const std::string from = shown(made);
  for (std::size_t at = sentence.find(from); at != std::string::npos; at = sentence.find(from)) {
    sentence.replace(at, from.size(), shown(drive));
  }
  return sentence;
}

/// What the program's own reader says of the tables. Throws `InputError` where it does not take them.
std::vector<std::string> read_back_as(const fs::path& drive, const fs::path& made, const ReadProgress& progress) {
  try {
    std::vector<std::string> warnings = read_drive(made, progress).warnings;
    for (std::string& warning : warnings) warning = about_drive(std::move(warning), made, drive);
    return warnings;
  } catch (const InputError& error) {
    throw InputError(about_drive(error.what(), made, drive));
  }
}

void tell_doubts(const ColumnGuess& guess, const fs::path& drive) {
  const std::string file = shown(drive / "columns.yaml");
  if (guess.has_doubts()) {
    fmt::print(stderr,
               "Not all of the guess is sure: look at {}, change what is wrong, and convert with --columns and that "
               "file.\n",
               file);
  } else {
    fmt::print(stderr, "All of the guess and why is in {}.\n", file);
  }
}

void require_different_logs(const std::vector<fs::path>& logs) {
  std::error_code none;
  for (std::size_t i = 1; i < logs.size(); ++i) {
    for (std::size_t earlier = 0; earlier < i; ++earlier) {
      if (!fs::equivalent(logs[i], logs[earlier], none)) continue;
      throw InputError(fmt::format("{}: is given twice; give each log once", shown(logs[i])));
    }
  }
}

void run_convert(const ConvertOptions& options) {
  constexpr double kConvertingShare = 0.7;
  require_different_logs(options.logs);
  check_output_folder(options.out, options.replace);
  const KnownColumns known = known_columns(options);
  // Before the conversion, so that it is seen where that fails.
  if (known.guess && !options.quiet) fmt::print(stderr, "Guessed:\n{}", guess_table(known.guess->items));
  if (!options.robot.empty()) read_robot_yaml(options.robot, WheelConstants::optional);
  ProgressBar bar(!options.quiet);
  Conversion conversion;
  RobotFile robot = RobotFile::starter;
  write_output_folder(options.out, options.replace, own_files(), [&](const fs::path& made) {
    conversion = convert_logs(known.columns, options.logs, made, [&bar](double fraction) {
      bar.show("converting", kConvertingShare * fraction);
      stop_if_asked();
    });
    write_new_file(made / "columns.yaml", known.text);
    robot = write_robot(options, known, made);
    const std::vector<std::string> warnings = read_back_as(options.out, made, [&bar](double fraction) {
      bar.show("reading the drive", kConvertingShare + (1.0 - kConvertingShare) * fraction);
      stop_if_asked();
    });
    conversion.warnings.insert(conversion.warnings.end(), warnings.begin(), warnings.end());
  });
  bar.wipe();
  if (options.quiet) return;
  if (known.guess) tell_doubts(*known.guess, options.out);
  for (const std::string& warning : conversion.warnings) fmt::print(stderr, "Warning: {}\n", warning);
  std::fputs(convert_account(conversion, robot, options.out).c_str(), stderr);
}

}  // namespace

void add_convert(CLI::App& app) {
  auto options = std::make_shared<ConvertOptions>();
  CLI::App* command = app.add_subcommand(
      "convert",
      "Make a drive folder out of a robot's own text logs: tables, lines that begin with a word, JSON lines, plain or "
      "gzip. What stands where in them is told by a small columns.yaml (io/FORMATS.md).");
  CLI::Option* const logs = command->add_option("LOG", options->logs, "the logs of one drive");
  CLI::Option* const columns =
      command->add_option("--columns", options->columns, "what stands where in the logs: a columns.yaml")
          ->type_name("FILE");
  command
      ->add_flag("--guess", options->guess,
                 "find out from the logs themselves, and write that as the drive's columns.yaml with the reasons; on a "
                 "terminal a question is asked where two answers fit")
      ->excludes(columns);
  CLI::Option* const out =
      command->add_option("--out", options->out, "the drive's folder, to be made; written whole or not at all")
          ->type_name("DRIVE");
  command
      ->add_option("--robot", options->robot, "the robot.yaml for the drive; one to begin with is made where not given")
      ->type_name("FILE");
  command->add_flag("--replace", options->replace,
                    "replace the tables of the folder that stands at --out; its other files stay, and its robot.yaml "
                    "where --robot is not given");
  command->add_flag("--quiet", options->quiet, "no progress bar and no account, only errors");
  command
      ->add_option("--example-logger", options->example,
                   "print a program to start recording from: python or c for the robot's computer, arduino for the "
                   "controller that counts the wheels")
      ->type_name("NAME")
      ->excludes(logs)
      ->excludes(out);
  command->footer(
      "Example:\n  wainscot convert wheels.log lidar.jsonl.gz --guess --out my-drive\n"
      "  wainscot convert robot.log --columns columns.yaml --out my-drive\n"
      "  wainscot convert tuesday.log --columns columns.yaml --robot robot.yaml --out tuesday\n"
      "  wainscot convert --example-logger python > logger.py");
  command->callback([options, example = command->get_option("--example-logger"), out] {
    if (example->count() > 0) {
      std::cout << example_logger(options->example);
      return;
    }
    // CLI11 would ask for them beside --example-logger too.
    if (options->logs.empty()) throw InputError("LOG is required; see wainscot convert --help");
    if (out->count() == 0) throw InputError("--out is required; see wainscot convert --help");
    run_convert(*options);
  });
}

}  // namespace wainscot
