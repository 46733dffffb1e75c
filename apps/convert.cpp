#include "apps/convert.hpp"

#include <cstdio>
#include <filesystem>
#include <memory>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "apps/convert_account.hpp"
#include "apps/progress_bar.hpp"
#include "core/errors.hpp"
#include "io/convert/columns_yaml.hpp"
#include "io/convert/drive_conversion.hpp"
#include "io/convert/starter_robot.hpp"
#include "io/files/file_reader.hpp"
#include "io/files/output_files.hpp"
#include "io/files/shown.hpp"
#include "io/files/whole_file.hpp"
#include "io/log/drive_reader.hpp"
#include "io/log/odometry_reader.hpp"
#include "io/log/return_reader.hpp"
#include "io/log/scan_reader.hpp"
#include "io/robot/robot_yaml.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

struct ConvertOptions {
  std::vector<fs::path> logs;
  fs::path columns;
  fs::path out;
  fs::path robot;  ///< empty: not given
  bool replace = false;
  bool quiet = false;
};

constexpr std::size_t largest_robot_file = 100'000;  // bytes, as robot.yaml may have

/// What this command makes in a drive's folder, and therefore takes away with --replace.
const std::set<fs::path>& own_files() {
  static const std::set<fs::path> names = {"wheels.csv",  "odometry.csv", "gyro.csv",  "scans.csv",
                                           "returns.csv", "columns.yaml", "robot.yaml"};
  return names;
}

RobotFile write_robot(const ConvertOptions& options, const LogColumns& columns, const fs::path& folder) {
  const fs::path old = options.out / "robot.yaml";
  const bool is_kept = options.robot.empty() && fs::exists(old);
  const bool is_starter = options.robot.empty() && !is_kept;
  write_new_file(folder / "robot.yaml",
                 is_starter ? starter_robot_yaml(columns)
                            : read_small_file(is_kept ? old : options.robot, largest_robot_file, nullptr));
  return is_starter ? RobotFile::starter : is_kept ? RobotFile::kept : RobotFile::given;
}

/// What the program's own reader says of the tables. A robot.yaml whose wheels are not measured yet says nothing of
/// jumps, so that only the tables are read then.
std::vector<std::string> read_back(const fs::path& folder, const ReadProgress& progress) {
  const Robot robot = read_robot_yaml(folder / "robot.yaml", WheelConstants::optional);
  if (robot.drive || !fs::exists(folder / "wheels.csv")) return read_drive(folder, progress).warnings;
  std::vector<std::string> warnings;
  FileReader wheels(folder / "wheels.csv");
  std::vector<std::string> of_unknown_wheels;
  DriveConstants usual;
  usual.left_m_per_tick = 1e-4;
  usual.right_m_per_tick = 1e-4;
  usual.track_width_m = 0.3;
  read_wheels(wheels, usual, of_unknown_wheels);
  const bool single = fs::exists(folder / "returns.csv");
  FileReader lidar(folder / (single ? "returns.csv" : "scans.csv"));
  if (single) {
    read_returns(lidar, robot.lidar, warnings);
  } else {
    read_scans(lidar, robot.lidar, warnings);
  }
  return warnings;
}

/// A sentence about the folder where the drive is made, as one about the drive.
std::string about_drive(std::string sentence, const fs::path& made, const fs::path& drive) {
  const std::string from = shown(made);
  for (std::size_t at = sentence.find(from); at != std::string::npos; at = sentence.find(from)) {
    sentence.replace(at, from.size(), shown(drive));
  }
  return sentence;
}

std::vector<std::string> read_back_as(const fs::path& drive, const fs::path& made, const ReadProgress& progress) {
  try {
    std::vector<std::string> warnings = read_back(made, progress);
    for (std::string& warning : warnings) warning = about_drive(std::move(warning), made, drive);
    return warnings;
  } catch (const InputError& error) {
    throw InputError(about_drive(error.what(), made, drive));
  }
}

void run_convert(const ConvertOptions& options) {
  constexpr double kConvertingShare = 0.7;
  const LogColumns columns = read_columns_yaml(options.columns);
  if (!options.robot.empty()) read_robot_yaml(options.robot, WheelConstants::optional);
  ProgressBar bar(!options.quiet);
  Conversion conversion;
  RobotFile robot = RobotFile::starter;
  write_output_folder(options.out, options.replace, own_files(), [&](const fs::path& made) {
    conversion = convert_logs(columns, options.logs, made,
                              [&bar](double fraction) { bar.show("converting", kConvertingShare * fraction); });
    write_new_file(made / "columns.yaml", read_small_file(options.columns, largest_robot_file, nullptr));
    robot = write_robot(options, columns, made);
    const std::vector<std::string> warnings = read_back_as(options.out, made, [&bar](double fraction) {
      bar.show("reading the drive", kConvertingShare + (1.0 - kConvertingShare) * fraction);
    });
    conversion.warnings.insert(conversion.warnings.end(), warnings.begin(), warnings.end());
  });
  bar.wipe();
  if (options.quiet) return;
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
  command->add_option("LOG", options->logs, "the logs of one drive")->required();
  command->add_option("--columns", options->columns, "what stands where in the logs: a columns.yaml")
      ->type_name("FILE")
      ->required();
  command->add_option("--out", options->out, "the drive's folder, to be made; written whole or not at all")
      ->type_name("DRIVE")
      ->required();
  command
      ->add_option("--robot", options->robot, "the robot.yaml for the drive; one to begin with is made where not given")
      ->type_name("FILE");
  command->add_flag("--replace", options->replace,
                    "replace the tables of the folder that stands at --out; its other files stay, and its robot.yaml "
                    "where --robot is not given");
  command->add_flag("--quiet", options->quiet, "no progress bar and no account, only errors");
  command->footer(
      "Example:\n  wainscot convert robot.log lidar.jsonl.gz --columns columns.yaml --out my-drive\n"
      "  wainscot convert tuesday.log --columns columns.yaml --robot robot.yaml --out tuesday");
  command->callback([options] { run_convert(*options); });
}

}  // namespace wainscot
