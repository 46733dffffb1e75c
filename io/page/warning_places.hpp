#pragma once

// Where on the map a warning happened.

#include <cstddef>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "graph/map.hpp"

namespace wainscot {

/// A stretch of the path, or a line on the floor.
struct WarningPlace {
  std::size_t warning = 0;              ///< index into the warnings that were asked for
  std::vector<Eigen::Vector2d> line_m;  ///< at least one place, map frame
};

/// The places of those of `warnings` (all_warnings) that have any, in their order. The times of `map` are those of its
/// drives, as the warnings tell them.
std::vector<WarningPlace> warning_places(const Map& map, const std::vector<std::string>& warnings);

}  // namespace wainscot
