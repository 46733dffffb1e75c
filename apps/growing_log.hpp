#pragma once

// A drive that is followed while it is recorded: where its readings come from, and when it is over.

#include <cstddef>
#include <filesystem>
#include <functional>
#include <utility>

#include <CLI/CLI.hpp>

#include "core/robot.hpp"
#include "io/log/growing_drive.hpp"

namespace wainscot {

struct FollowingOptions {
  double until_idle_s = 0.0;  ///< over when nothing has come for so long; 0: only Ctrl-C ends it
};

/// --until-idle.
void add_following_options(CLI::App& command, FollowingOptions& options);

/// robot.yaml of a drive that is being recorded; the wheels' constants may lack. Throws `InputError` where it is not
/// there, or not right.
Robot robot_of_growing_drive(const std::filesystem::path& drive);

/// Gives a RecentDrive, or what has its functions, all that came.
template <typename Live>
void hand_on(NewReadings&& readings, Live& live) {
  std::size_t next_break = 0;
  const auto note_break = [&](std::size_t row) {
    if (next_break >= readings.breaks.size() || readings.breaks[next_break] != row) return;
    ++next_break;
    live.add_break();
  };
  for (std::size_t i = 0; i < readings.wheels.size(); ++i) {
    note_break(i);
    live.add_counts(readings.wheels[i]);
  }
  for (std::size_t i = 0; i < readings.odometry.size(); ++i) {
    note_break(i);
    live.add_pose(readings.odometry[i]);
  }
  for (const YawRate& rate : readings.gyro) live.add_yaw_rate(rate);
  for (Scan& scan : readings.scans) live.add_scan(std::move(scan));
}

/// Hands what comes to `take`, as soon as it has come, until nothing comes for as long as the options say or a signal
/// asks for the end; then what is left, with `at_end`. `idle` is called now and then while nothing comes; may be empty.
/// A signal within this time ends nothing but this.
void follow_drive(GrowingDrive& drive, const FollowingOptions& options,
                  const std::function<void(NewReadings&& readings, bool at_end)>& take,
                  const std::function<void()>& idle = {});

}  // namespace wainscot
