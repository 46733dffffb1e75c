#pragma once

// Where known rooms end: free floor beside what was never seen, as at doors that nobody has driven through. Such edges
// are the frontiers of B. Yamauchi, "A frontier-based approach for autonomous exploration", CIRA 1997.

#include <vector>

#include <Eigen/Core>

#include "core/occupancy_grid.hpp"

namespace wainscot {

struct OpenEdge {
  Eigen::Vector2d from_m{0.0, 0.0};  ///< its two ends: of its cells those that are furthest apart, or nearly so
  Eigen::Vector2d to_m{0.0, 0.0};
};

/// Those whose ends are at least `least_m` apart, the widest first. Narrower ones are gaps between beams, or lead where
/// no robot goes: hobby robots are 0.2 to 0.4 m wide. Source: Yamauchi's, where free cells beside unseen ones are
/// grouped by neighbourhood and those narrower than the robot left out.
std::vector<OpenEdge> open_edges(const OccupancyGrid& grid, double least_m = 0.4);

}  // namespace wainscot
