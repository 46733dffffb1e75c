#pragma once

// `locate --follow`: where a robot is in a map, while it drives.

#include <filesystem>
#include <functional>
#include <string>

#include "apps/growing_log.hpp"
#include "graph/known/locate.hpp"
#include "io/map/known_map.hpp"
#include "io/map/map_reader.hpp"

namespace wainscot {

/// The robot by whose robot.yaml the drive is being recorded, with what the map found.
KnownRobot growing_robot(const std::filesystem::path& drive, const FollowingOptions& options, const SavedMap& saved);

/// Follows the drive to its end. Throws `PoorData` where wheels are recorded whose constants are not known. `told`:
/// each answer, as soon as odometry has gone past its scan.
void locate_live(const KnownMap& map, const KnownRobot& robot, const std::filesystem::path& drive,
                 const FollowingOptions& options, const std::function<void(const LocatedScan&)>& told,
                 const std::function<void(const std::string& warning)>& warned);

/// How things stand, in a line of at most 79 letters: "x 1.23 m, y 0.40 m, heading 90 degrees, sure to 1 cm".
std::string state_text(const LocatedScan& here);

}  // namespace wainscot
