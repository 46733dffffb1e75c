#pragma once

// Where a wall's face lies, from the pieces of it beside a point, as one would lay a straight edge on the wall.

#include <optional>
#include <span>

#include <Eigen/Core>

#include "graph/map.hpp"

namespace wainscot {

struct FaceHeightOptions {
  double across_m = 0.1;      ///< what lies further off along the normal is another thing
  double beside_m = 0.6;      ///< how far to both sides the straight edge reaches
  int least_nodes = 3;        ///< pieces seen from fewer places are not sure
  double same_face_m = 0.02;  ///< what lies further from the median is a step or a skirting beside the face
};

struct FaceHeight {
  double height_m = 0.0;  ///< of the face over the point, along the normal
  double sd_m = 0.0;      ///< as the map states it, of the median piece
  double share = 0.0;     ///< of the weight of all pieces within reach: what the face has of it, 1 for a plain wall
};

/// How far the face with the unit normal `normal` lies in front of `point` (map frame), the mean over its pieces
/// weighted by their stated uncertainties. nullopt: there are no such pieces.
std::optional<FaceHeight> height_of_face(std::span<const WallPiece> pieces, const Eigen::Vector2d& point,
                                         const Eigen::Vector2d& normal, const FaceHeightOptions& options = {});

}  // namespace wainscot
