#pragma once

#include <vector>

#include "core/drive.hpp"
#include "graph/mapping/mapper.hpp"
#include "graph/measure/scale_remedies.hpp"
#include "graph/measure/tape_evidence.hpp"

namespace wainscot {

/// Maps a drive as build_map() does, the scale held by tapes too where there are some: the map is made without them,
/// measured at their points, and adjusted once more. The points are in the frame asked for, as a map has it that was
/// built without tapes. Fills `Map::tapes`, and warns of those that were left out. Also fills `Map::scale_remedies`.
/// Throws as build_map().
Map taped_map(const Drive& drive, MapperOptions options, const std::vector<LaidTape>& tapes,
              const ScaleRemedyOptions& remedies = {});

}  // namespace wainscot
