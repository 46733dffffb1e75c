#pragma once

// The nodes' returns sorted onto short pieces of wall that many nodes share, and the pieces onto faces of walls.

#include <cstdint>
#include <vector>

#include "core/pose2.hpp"
#include "graph/adjust/wall_faces.hpp"
#include "graph/track/keyframes.hpp"
#include "scanmatch/icp.hpp"
#include "scanmatch/line_map.hpp"

namespace wainscot {

struct PairedWalls {
  LineMap pieces;                                   ///< fitted to their returns where the nodes' poses put them
  std::vector<std::vector<std::int32_t>> piece_of;  ///< of each node's returns; LineMap::kNone: no normal is known
  WallFaces faces;

  /// The piece of return `i` of node `k`; nullptr where it has none, or one that no other node has seen.
  const Line* shared_piece(std::size_t k, std::size_t i) const {
    const std::int32_t piece = piece_of[k][i];
    if (piece == LineMap::kNone) return nullptr;
    const Line& line = pieces.lines()[static_cast<std::size_t>(piece)];
    return line.nodes < 2 ? nullptr : &line;
  }
};

PairedWalls paired_walls(const std::vector<Keyframe>& keyframes, const std::vector<Pose2>& poses,
                         const RangeNoise& noise);

}  // namespace wainscot
