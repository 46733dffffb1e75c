#pragma once

// A drive folder (io/FORMATS.md) in memory.
//
//   #include "core/errors.hpp"
//   #include "io/log/drive_reader.hpp"
//
//   try {
//     const wainscot::Drive drive = wainscot::read_drive("my-drive");
//     for (const std::string& warning : drive.warnings) std::cerr << warning << '\n';
//     std::cout << drive.scans.size() << " scans\n";
//   } catch (const wainscot::InputError& error) {
//     std::cerr << error.what() << '\n';  // "my-drive/wheels.csv:7: left_ticks is ...; write ..."
//     return 2;
//   }

#include <filesystem>
#include <functional>

#include "core/drive.hpp"

namespace wainscot {

/// Told now and then of the fraction of the folder's bytes that has been read, 0..1; may be empty.
using ReadProgress = std::function<void(double fraction)>;

/// Changes what robot.yaml states before the logs are read by it; may be empty.
using RobotCorrection = std::function<void(Robot& robot)>;

/// Whether a drive folder has to hold scans.csv or returns.csv; without them, wheels.csv or odometry.csv.
enum class LidarLog { needed, may_be_missing };

/// Reads a drive folder. Where robot.yaml leaves out what wheels.csv needs, `Robot::left_out` says so and guesses stand
/// in its place (graph/motion/found_robot finds the values). Memory: the drive itself, 12 bytes a return, and less than
/// 1 MB beside it. Throws `InputError` for anything that io/FORMATS.md does not allow; what is odd but harmless is told
/// in `Drive::warnings`.
Drive read_drive(const std::filesystem::path& folder, const ReadProgress& progress = {},
                 const RobotCorrection& change = {}, LidarLog lidar_log = LidarLog::needed);

}  // namespace wainscot
