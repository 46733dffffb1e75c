#pragma once

#include <string>
#include <vector>

#include "graph/map.hpp"
#include "graph/mapping/map_frame.hpp"
#include "graph/mapping/map_verdict.hpp"
#include "io/page/warning_places.hpp"

namespace wainscot {

/// The map of report.html, as a figure: the grid as an embedded PNG (of a large one smaller ones too), over it as SVG
/// how sure each place is, the places of warnings, the path found and the one by odometry alone, each a line a drive,
/// and a scale bar; around it the tools, the time slider and the layers' switches, which io/page/report.js brings to
/// life. How sure a place is shows from the beginning where the map is not `good`.
/// `frame`: said in the caption. The SVG's units are metres of the map frame, y downwards; odometry is shown as far as
/// `widen_for_paths` lets it.
std::string map_figure(const Map& map, FrameSetBy frame, Grade grade, const std::vector<WarningPlace>& places);

}  // namespace wainscot
