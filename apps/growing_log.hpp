#pragma once

// A drive that is followed while it is recorded: where its readings come from, and when it is over.

#include <cstddef>
#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include <CLI/CLI.hpp>

#include "core/robot.hpp"
#include "io/convert/stream_conversion.hpp"
#include "io/log/growing_drive.hpp"

namespace wainscot {

struct FollowingOptions {
  double until_idle_s = 0.0;      ///< over when nothing has come for so long; 0: only Ctrl-C ends it
  std::filesystem::path columns;  ///< of a stream: what stands where in its lines,
  std::filesystem::path robot;    ///< and the robot's constants
};

/// --until-idle, --columns and --robot.
void add_following_options(CLI::App& command, FollowingOptions& options);

/// Whether what is given in place of a drive's folder is standard input.
inline bool is_stream(const std::filesystem::path& drive) { return drive == "-"; }

/// Throws `InputError` where a stream lacks --columns or --robot, or a folder has them.
void check_following(const std::filesystem::path& drive, const FollowingOptions& options);

/// robot.yaml of a drive that is being recorded, or of a stream; the wheels' constants may lack. Throws `InputError`
/// where it is not there, or not right.
Robot robot_of_growing_drive(const std::filesystem::path& drive, const FollowingOptions& options);

/// A drive's new readings, from its folder or from standard input.
class GrowingLog {
 public:
  /// Of a folder.
  GrowingLog(const std::filesystem::path& drive, const Robot& robot);
  /// Of standard input, which is made into tables. `record`: a folder that is there, into which they are written, too;
  /// empty: they are kept nowhere. Throws `InputError` for columns.yaml, and where a table is there already.
  GrowingLog(const FollowingOptions& options, const Robot& robot, const std::filesystem::path& record);

  GrowingDrive& drive() { return drive_; }
  bool is_stream() const { return stream_ != nullptr; }
  /// Asks a stream to end with what has come.
  void end();
  /// Nothing more will be written: of a folder that is never known.
  bool has_ended() const { return stream_ && stream_->has_ended(); }
  /// Of a stream that has ended: what was odd in it, a sentence each. Throws what ended it early.
  std::vector<std::string> warnings() const;

 private:
  std::unique_ptr<StreamConversion> stream_;  ///< before the drive, whose pipes it writes into
  GrowingDrive drive_;
};

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

/// Hands what comes to `take`, as soon as it has come, until the stream ends, nothing comes for as long as the options
/// say, or a signal asks for the end; then what is left, with `at_end`. `idle` is called now and then while nothing
/// comes; may be empty. A signal within this time ends nothing but this.
void follow_drive(GrowingLog& log, const FollowingOptions& options,
                  const std::function<void(NewReadings&& readings, bool at_end)>& take,
                  const std::function<void()>& idle = {});

}  // namespace wainscot
