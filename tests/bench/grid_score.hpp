#pragma once

// The grid of a map of a simulated house against the true wall faces.

#include "apps/simulator/simulate.hpp"
#include "core/drive.hpp"
#include "graph/map.hpp"

namespace wainscot::bench {

struct GridScore {
  double recall = 1.0;  ///< of wall that three scans or more saw, the part with an occupied cell within one cell
  double stray = 0.0;   ///< of occupied cells, the part more than 1.5 cells from any true face
};

GridScore score_grid(const Map& map, const Drive& drive, const simulator::Truth& truth, const Pose2& truth_from_map);

}  // namespace wainscot::bench
