#include "apps/growing_log.hpp"

#include <array>
#include <cerrno>
#include <chrono>
#include <map>
#include <system_error>
#include <thread>
#include <utility>

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include "apps/option_values.hpp"
#include "core/errors.hpp"
#include "io/convert/columns_yaml.hpp"
#include "io/files/folder_kind.hpp"
#include "io/files/shown.hpp"
#include "io/files/stop_signal.hpp"
#include "io/robot/robot_yaml.hpp"

namespace wainscot {
namespace {

// Asked so often, a growing file is read within a quarter of what an answer may take (20 ms), for 1 % of a processor.
constexpr auto kPause = std::chrono::milliseconds(5);

}  // namespace

void add_following_options(CLI::App& command, FollowingOptions& options) {
  command
      .add_option("--until-idle", options.until_idle_s,
                  "take the drive to be over when nothing has been recorded for so long; else Ctrl-C ends it")
      ->type_name("SECONDS")
      ->check(number_from(0.1, 86400.0, "seconds"));
  command
      .add_option(
          "--columns", options.columns,
          "of a stream: the columns.yaml that says what stands where in its lines (wainscot convert guesses one)")
      ->type_name("FILE");
  command.add_option("--robot", options.robot, "of a stream: the robot.yaml")->type_name("FILE");
}

void check_following(const std::filesystem::path& drive, const FollowingOptions& options) {
  if (is_stream(drive) && (options.columns.empty() || options.robot.empty())) {
    throw InputError(
        "a stream needs --columns and --robot: what stands where in its lines, and the robot's constants; wainscot "
        "convert makes both from a log that was kept");
  }
  if (is_stream(drive) && ::isatty(STDIN_FILENO) == 1) {
    throw InputError(
        "standard input is a terminal, and no stream of a robot's messages; put the program before it that "
        "gives them, as in: my-logger | wainscot ...");
  }
  if (!is_stream(drive) && !(options.columns.empty() && options.robot.empty())) {
    throw InputError("--columns and --robot are for a stream, -; the folder of a drive has its own robot.yaml");
  }
}

Robot robot_of_growing_drive(const std::filesystem::path& drive, const FollowingOptions& options) {
  if (is_stream(drive)) return read_robot_yaml(options.robot, WheelConstants::optional);
  std::error_code error;
  if (!std::filesystem::is_directory(drive, error)) {
    throw InputError(
        fmt::format("{}: is not a folder; give the folder that the drive is being recorded into", shown(drive)));
  }
  if (is_map_folder(drive)) {
    throw InputError(
        fmt::format("{}: is the folder of a map; give the folder that the drive is being recorded into", shown(drive)));
  }
  if (!std::filesystem::exists(drive / "robot.yaml", error)) {
    throw InputError(
        fmt::format("{}: is not there; it has to be, before the drive begins", shown(drive / "robot.yaml")));
  }
  return read_robot_yaml(drive / "robot.yaml", WheelConstants::optional);
}

GrowingLog::GrowingLog(const std::filesystem::path& drive, const Robot& robot) : drive_(drive, robot) {}

GrowingLog::GrowingLog(const FollowingOptions& options, const Robot& robot, const std::filesystem::path& record)
    : drive_(record, robot) {
  std::map<std::string, GrowingText> pipes;
  const auto make_table = [&](const std::string& file) {
    if (!record.empty()) return std::make_unique<TableWriter>(record / file);
    std::array<int, 2> ends{};
    if (::pipe2(ends.data(), O_CLOEXEC) != 0) throw std::system_error(errno, std::generic_category());
    pipes.emplace(file, GrowingText(Descriptor(ends[0])));
    return std::make_unique<TableWriter>(Descriptor(ends[1]));
  };
  const int input = ::fcntl(STDIN_FILENO, F_DUPFD_CLOEXEC, 0);
  if (input < 0)
    throw InputError("standard input is closed; put the program before it that gives the robot's messages");
  stream_ = std::make_unique<StreamConversion>(read_columns_yaml(options.columns), Descriptor(input), make_table);
  if (record.empty()) drive_ = GrowingDrive(std::move(pipes), robot);
}

void GrowingLog::end() {
  if (stream_) stream_->end();
}

std::vector<std::string> GrowingLog::warnings() const {
  return stream_ ? stream_->result() : std::vector<std::string>();
}

void follow_drive(GrowingLog& log, const FollowingOptions& options,
                  const std::function<void(NewReadings&& readings, bool at_end)>& take,
                  const std::function<void()>& idle) {
  using Clock = std::chrono::steady_clock;
  const StopDelay until_the_end;
  const std::chrono::duration<double> patience(options.until_idle_s);
  Clock::time_point last = Clock::now();
  bool ends = false;
  while (true) {
    const bool was_last = log.has_ended();  // before the reading: then it sees all
    NewReadings readings = log.drive().read();
    const bool came = !readings.empty() || !readings.warnings.empty();
    take(std::move(readings), false);
    if (came) last = Clock::now();  // behind take(), which may take its time
    ends = ends || take_stop_signal() || (options.until_idle_s > 0.0 && Clock::now() - last > patience);
    if (ends) log.end();
    if (was_last && !came) break;
    if (ends && !log.is_stream()) break;
    if (came) continue;
    if (idle) idle();
    std::this_thread::sleep_for(kPause);
  }
  take(log.drive().finish(), true);
}

}  // namespace wainscot
