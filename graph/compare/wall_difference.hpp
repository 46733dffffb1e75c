#pragma once

// How far the walls of two maps lie apart, and how much their distances between facing walls differ: what a tape would
// find, were it laid into both.

#include <span>
#include <vector>

#include <Eigen/Core>

#include "core/pose2.hpp"
#include "graph/map.hpp"

namespace wainscot {

struct WallDifferenceOptions {
  double gate_m = 0.1;     ///< a face further off is another one, as for `height_of_face`
  double least_m = 0.4;    ///< distances between facing walls: shorter ones are the two sides of a niche,
  double most_m = 15.0;    ///< and longer ones no hobby lidar measures in one scan
  double spacing_m = 0.5;  ///< of two tapes beside each other
  /// A face whose pieces lie less together (`FaceHeight::share`) has a step there and no one place: a tape on it would
  /// show which side of the step each map has seen more of, not how far the maps differ.
  double least_share = 0.8;
};

/// One tape, laid across free floor at right angles to a face.
struct FacingDistance {
  Eigen::Vector2d from_m = Eigen::Vector2d::Zero();  ///< its ends in the first map's frame
  Eigen::Vector2d to_m = Eigen::Vector2d::Zero();
  double first_m = 0.0;
  double second_m = 0.0;
  double sd_m = 0.0;  ///< of the difference, as both maps state it: the faces' own, not the maps' scales
};

struct WallDifference {
  std::size_t pieces = 0;  ///< of the second map, seen from three places or more
  std::size_t paired = 0;  ///< of these, on a plain face that the first map has too within the gate
  double offset_rms_m = 0.0;
  double offset_median_m = 0.0;  ///< of the absolute distances between the two maps' faces, across the wall
  double offset_95_m = 0.0;
  std::vector<FacingDistance> distances;  ///< the largest difference first
  double distance_rms_m = 0.0;            ///< of their differences
  double distance_median_m = 0.0;         ///< of their absolute values
  double distance_95_m = 0.0;
};

/// `first_second` is the pose of the second map's frame in the first's.
WallDifference wall_difference(std::span<const WallPiece> first, std::span<const WallPiece> second,
                               const Pose2& first_second, const WallDifferenceOptions& options = {});

}  // namespace wainscot
