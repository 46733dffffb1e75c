#pragma once

// The faces of walls that the pieces of a line map are of.

#include <cstddef>
#include <vector>

#include <Eigen/Core>

namespace wainscot {

struct WallFace {
  Eigen::Vector2d normal;  ///< unit, of its first piece
  double offset_m = 0.0;   ///< of its first piece, along the normal
};

/// Index of the face that goes on in the piece with a unit normal, through a point on it; a new one where none does.
std::size_t face_of(const Eigen::Vector2d& normal, const Eigen::Vector2d& on_piece, std::vector<WallFace>& faces);

}  // namespace wainscot
