#pragma once

// A marker that is seen again says that the robot is where it was: which pairs of nodes that makes worth a look, and
// what the two sightings say of their relative pose. Whether it is believed is for the walls to decide
// (graph/close/marked_places): a number may be misread.

#include <cstddef>
#include <optional>
#include <vector>

#include <Eigen/Core>

#include "graph/markers/node_sightings.hpp"

namespace wainscot {

struct MarkerPairOptions {
  double min_way_m = 8.0;  ///< sightings closer along the way belong to one visit, see RevisitOptions
};

/// Two sightings of one marker on different visits, indices into the sightings.
struct MarkerPair {
  std::size_t earlier = 0;
  std::size_t later = 0;
};

/// Each visit's nearest sighting of a marker with that of the visit before, and of the first visit. `ways_m`: way
/// driven until each node.
std::vector<MarkerPair> marker_pairs(const std::vector<NodeSighting>& sightings, const std::vector<double>& ways_m,
                                     const MarkerPairOptions& options = {});

/// Pose of the later node in the earlier one's frame by two sightings of one marker and what was predicted.
struct MarkerWord {
  Pose2 pose;
  Eigen::Matrix3d covariance;  ///< tangent space of the later node
  double chi_squared = 0.0;    ///< of the sightings against the prediction,
  int degrees = 2;             ///< and its degrees of freedom: 3 where both have the marker's heading
};

/// `covariance`: of `predicted`, tangent space of the later node. Without headings the marker leaves open which way the
/// robot looked, and the prediction has to say it. nullopt: it does not (its heading's standard deviation is above
/// 0.25 rad).
std::optional<MarkerWord> word_of_marker(const NodeSighting& earlier, const NodeSighting& later, const Pose2& predicted,
                                         const Eigen::Matrix3d& covariance);

/// The same where nothing but the turn between the two nodes is given, with its standard deviation.
MarkerWord word_with_turn(const NodeSighting& earlier, const NodeSighting& later, double turn_rad, double turn_sd_rad);

}  // namespace wainscot
