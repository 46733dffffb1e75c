#pragma once

// Distances between walls in a map of a simulated house against the truth.

#include <vector>

#include <Eigen/Core>

#include "apps/simulator/simulate.hpp"
#include "apps/simulator/surfaces.hpp"
#include "graph/map.hpp"

namespace wainscot::bench {

/// Distances between facing walls, measured in the map as a tape would be.
struct WallScore {
  std::vector<double> errors_m;     ///< map - truth
  std::vector<double> distances_m;  ///< the true ones, in the same order
  std::vector<double> sds_m;        ///< as the map states them
  int unmeasured = 0;               ///< pairs of which the map holds no piece of one face

  /// Fraction of the errors within the larger of 5 mm and 0.2 %; 1 where there are none.
  double within_goal() const;
  /// Median of the errors' absolute values; 0 where there are none.
  double median_error_m() const;
};

/// Two walls that face each other across free space, in the frame of the house.
struct FacingWalls {
  Eigen::Vector2d from;
  Eigen::Vector2d to;
  Eigen::Vector2d normal;  ///< of the wall at `from`; the other one's is the opposite
};

/// Every half metre along every wall the wall opposite, 0.5 to 15 m off, parallel to 0.3 degrees.
std::vector<FacingWalls> facing_walls(const simulator::Surfaces& surfaces);

WallScore score_walls(const Map& map, const simulator::Truth& truth, const Pose2& truth_from_map);

}  // namespace wainscot::bench
