#pragma once

#include "core/drive.hpp"
#include "graph/known/known_map.hpp"
#include "graph/known/locate.hpp"
#include "io/map/map_reader.hpp"
#include "scanmatch/motion_correction.hpp"

namespace wainscot {

/// A saved map (of read_map()) as something to find a robot in.
KnownMap known_map(const SavedMap& saved);

/// A drive with the constants that the map found, where it is by the same robot.
struct KnownRobot {
  Drive drive;
  LidarModel lidar;
  LocatorOptions options;  ///< with what the answers share: of another robot the mounting is not known as well
  /// robot.yaml states the same wheels and lidar as that of the map's first drive, or those that the map found.
  bool is_of_the_map = false;
};
KnownRobot with_found_constants(Drive drive, const SavedMap& saved);

}  // namespace wainscot
