#pragma once

#include <string>

#include "graph/map.hpp"
#include "graph/mapping/map_frame.hpp"

namespace wainscot {

/// The map of report.html, as a figure: the grid as an embedded PNG, over it as SVG the path found and the one by
/// odometry alone, each a line a drive, and a scale bar; around it the tools, the time slider and the layers' switches,
/// which io/page/report.js brings to life. `frame`: said in the caption. The SVG's units are metres of the map frame, y
/// downwards; odometry is shown as far as a quarter of the grid's larger side beyond the grid.
std::string map_figure(const Map& map, FrameSetBy frame);

}  // namespace wainscot
