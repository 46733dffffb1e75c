#pragma once

// A map that grows: further drives through the same house join its graph. The old drives come from the map itself, with
// the scans of its nodes. Each new drive's own map is laid on the old one (graph/extend/expected_poses), then old and
// new drives are mapped together as one recording (graph/extend/joined_drives), so that closures are verified and
// everything is adjusted as within one drive. What no node's scan tells, the old trajectory between its nodes, is
// carried along by the nodes on both sides.

#include <span>
#include <vector>

#include "core/drive.hpp"
#include "graph/map.hpp"
#include "graph/mapping/mapper.hpp"

namespace wainscot {

/// `drives`: the old ones, as io/map/map_reader gives them with `old`, then the new ones, at least one of each.
/// `old_drives`: how many are old. The frame stays: node 0 keeps its pose, but where a survey (marker_map.csv of the
/// old drives) sets the frame; the grid's cells fall on the old ones (the cell size is the old map's, whatever
/// `options` say). In the result nodes count the scans of `drives`. Throws `InputError` where another robot made a
/// drive (graph/extend/same_robot), and `PoorData` where a drive gives no map of its own or does not join.
Map extend_map(const Map& old, std::span<const Drive> drives, std::size_t old_drives, const MapperOptions& options);

}  // namespace wainscot
