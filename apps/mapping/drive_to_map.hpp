#pragma once

// From a drive's folder to what `build` maps, looked at first.

#include <filesystem>
#include <functional>
#include <string>

#include "core/drive.hpp"

namespace wainscot {

struct DriveToMapOptions {
  bool even_so = false;  ///< also where a fault would spoil the map for sure: then a warning tells of it
  int threads = 0;       ///< 0: as many as the machine has; the result does not depend on it
  /// Called now and then with the stage's name ("reading", "looking") and the fraction done of both, 0..1; may be
  /// empty.
  std::function<void(const std::string& stage, double fraction)> progress;
};

/// Reads the drive, finds what its robot.yaml leaves out (graph/motion/found_robot), takes a first look
/// (apps/mapping/first_look) and puts right what can be (graph/motion/usable_drive). `Drive::warnings` tell what
/// robot.yaml should have. Throws `InputError` as read_drive() does, `PoorData` where a fault would spoil the map, or
/// where the drive does not show what robot.yaml leaves out.
Drive drive_to_map(const std::filesystem::path& folder, const DriveToMapOptions& options = {});

}  // namespace wainscot
