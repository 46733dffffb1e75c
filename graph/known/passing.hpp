#pragma once

// What stood in a scan's way where the finished map has free floor: people and pets who walked by, and things that were
// there for one visit only. What was there in several visits is a Change (graph/changes).

#include <vector>

#include <Eigen/Core>

#include "core/occupancy_grid.hpp"

namespace wainscot {

struct PassingOptions {
  double most_probability = 0.35;  ///< of every seen cell around the return: the map is sure that nothing is there
  double gap_m = 0.15;             ///< neighbouring returns no further apart are of one thing
  int least_returns = 4;           ///< fewer are returns that mix two surfaces
  double least_width_m = 0.05;     ///< an ankle
  double most_width_m = 1.0;       ///< wider is a wall that the map lacks, and no one who walks by
};

struct Passing {
  Eigen::Vector2d middle_m = Eigen::Vector2d::Zero();  ///< map frame
  double width_m = 0.0;                                ///< between its outermost returns
};

/// `returns_m`: of one scan, map frame, in the order of firing.
std::vector<Passing> find_passing(const OccupancyGrid& grid, const std::vector<Eigen::Vector2d>& returns_m,
                                  const PassingOptions& options = {});

}  // namespace wainscot
