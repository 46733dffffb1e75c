#pragma once

// Which wall pieces lie on one face of a wall: neighbours that go on in the same direction without a step.

#include <cstdint>
#include <vector>

#include "scanmatch/line_map.hpp"

namespace wainscot {

struct WallFaceOptions {
  double step_m = 0.03;            ///< a neighbour whose face lies further off is another thing
  double same_way_cosine = 0.985;  ///< 10 degrees: a round wall is one face, a corner parts two
  int least_pieces = 4;            ///< smaller ones are no faces: 1.3 m of wall
};

struct WallFaces {
  static constexpr std::int32_t kNone = -1;  // of no face
  std::vector<std::int32_t> of_piece;        ///< index of the face of each line of the map, or kNone
  std::int32_t count = 0;
};

/// Only lines that two nodes or more have seen belong to faces.
WallFaces wall_faces(const LineMap& pieces, const WallFaceOptions& options = {});

}  // namespace wainscot
