#pragma once

// Where faces of walls lie, from the returns on them near a place: what a tape would be held against.
//
// The model is the joint adjustment's (graph/adjust/joint_adjustment.hpp), of a few faces alone: the returns near the
// place give offset and slope; a surface's range bias, which shows in that oblique beams are displaced less across the
// wall, is estimated from the returns further along the same face, where the wall need not be straight. Each node's
// pose error acts on all its returns alike and hangs together with its neighbours' (graph/node_covariance.hpp), so that
// ten nodes do not count as a thousand independent returns. Generalised least squares with Cauchy's weights, by
// repeated reweighting (P. W. Holland, R. E. Welsch, "Robust regression using iteratively reweighted least-squares",
// Communications in Statistics A6, 1977).

#include <cstddef>
#include <optional>
#include <vector>

#include <Eigen/Core>

#include "graph/adjust/return_factor.hpp"
#include "graph/node_covariance.hpp"

namespace wainscot {

/// A return on some wall, in the map's frame by its node's pose.
struct PlacedReturn {
  Eigen::Vector2d at_m;
  Eigen::Vector2d normal;    ///< of the wall as the scan shows it, unit, to the side that was seen
  Eigen::Vector2d beam;      ///< unit, away from the lidar
  double variance_m2 = 0.0;  ///< across the wall, see across_variance()
};

/// What the faces are fitted to. `of_node[i]`: the returns of the graph's node i.
struct PlacedReturns {
  const PoseGraph& graph;
  std::vector<std::vector<PlacedReturn>> of_node;
  double range_offset_sd_m = 0.0;  ///< what all surfaces' range biases share
};

/// A place on a face.
struct FacePlace {
  Eigen::Vector2d foot_m;
  Eigen::Vector2d normal;  ///< unit, to the side that was seen
};

struct WallFaceFitOptions {
  double near_m = 0.25;              ///< returns within this of the place, along the face, are the place's
  double reach_m = 2.0;              ///< and those within this tell the surface's range bias
  double gate_m = 0.05;              ///< across the face: what lies further off is another thing
  double same_way = 0.9;             ///< cosine between a return's normal and the face's
  int least_returns = 12;            ///< near the place, else there is no face to measure to
  std::size_t most_nodes = 40;       ///< of each kind: the surest of the first face, of the second, and of both at once
  double oblique_bias_sd_m = 0.003;  ///< by how much a surface's range bias differs between square and grazing beams
  double scan_sd_m = 0.0005;         ///< what each scan's own correction for motion leaves
  double scan_sd_rad = 0.0003;       ///< half a millimetre at 1.7 m
  WallModel model;                   ///< surfaces' range biases and the robust weight are the adjustment's
};

struct FittedFaces {
  std::vector<FacePlace> faces;  ///< moved onto the fitted lines
  /// Of each face's offset along its normal (m) and slope (rad, counter-clockwise turn of the face), 2 rows a face;
  /// the map's scale is not in it.
  Eigen::MatrixXd covariance;
  std::vector<int> returns;  ///< near each place
  int nodes = 0;             ///< from which they come
};

/// Fits faces together. nullopt: near one of the places there are too few returns.
std::optional<FittedFaces> fit_faces(const PlacedReturns& returns, const NodeCovariance& poses,
                                     std::vector<FacePlace> places, const WallFaceFitOptions& options = {});

}  // namespace wainscot
