#include "apps/growing_log.hpp"

#include <chrono>
#include <system_error>
#include <thread>
#include <utility>

#include <fmt/format.h>

#include "apps/option_values.hpp"
#include "core/errors.hpp"
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
}

Robot robot_of_growing_drive(const std::filesystem::path& drive) {
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

void follow_drive(GrowingDrive& drive, const FollowingOptions& options,
                  const std::function<void(NewReadings&& readings, bool at_end)>& take,
                  const std::function<void()>& idle) {
  using Clock = std::chrono::steady_clock;
  const StopDelay until_the_end;
  Clock::time_point last = Clock::now();
  while (!take_stop_signal()) {
    NewReadings readings = drive.read();
    const bool came = !readings.empty() || !readings.warnings.empty();
    if (came) last = Clock::now();
    take(std::move(readings), false);
    if (came) continue;
    if (idle) idle();
    if (options.until_idle_s > 0.0 && Clock::now() - last > std::chrono::duration<double>(options.until_idle_s)) break;
    std::this_thread::sleep_for(kPause);
  }
  take(drive.finish(), true);
}

}  // namespace wainscot
