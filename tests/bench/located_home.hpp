#pragma once

// Simulated homes with a map that one drive made, and another drive in them that is to be found in it.

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "core/drive.hpp"
#include "core/pose2.hpp"
#include "io/map/map_reader.hpp"

namespace wainscot::bench {

/// What a try is about.
inline const std::vector<std::string> kKinds = {"home",        "identical-rooms", "mirrored-flats", "moved-furniture",
                                                "half-mapped", "lifted",          "another-house"};

struct LocatedHome {
  SavedMap saved;
  Pose2 truth_from_map;
  std::optional<Drive> drive;  ///< to be located
};

/// Makes home `number` of one of `kKinds` in a folder, or uses what is there already; nullopt: no map can be made.
/// `other_robot`: the robot to be found is not the one that made the map.
std::optional<LocatedHome> home_of(const std::string& kind, std::uint64_t number, bool other_robot,
                                   const std::filesystem::path& folder);

}  // namespace wainscot::bench
