#pragma once

// Where the frame of one map lies in another map's, from the walls that both share: two days of one house begin at
// different places.
//
// Turns come from the correlation of the two histograms of wall directions, shifts from a vote of all pairs of pieces
// with agreeing normals (a Hough transform: D. H. Ballard, "Generalizing the Hough transform to detect arbitrary
// shapes", Pattern Recognition 13(2), 1981). Each promising motion is refined by point-to-line ICP (A. Censi, "An ICP
// variant using a point-to-line metric", ICRA 2008); the one under which most pieces agree is taken.

#include <optional>
#include <span>

#include "core/pose2.hpp"
#include "graph/map.hpp"

namespace wainscot {

struct MapAlignmentOptions {
  int most_turns = 8;            ///< a house of right angles looks alike under four
  int most_shifts = 6;           ///< tried for each turn
  double vote_cell_m = 0.25;     ///< the refinement's reach is a little more
  double first_gate_m = 0.4;     ///< pairs further apart are not pairs, at the first iteration
  double last_gate_m = 0.05;     ///< and at the last, and for counting what agrees
  double robust_scale_m = 0.02;  ///< of the Cauchy weight: furniture moves
  int iterations = 25;           ///< more than the gate's way from 0.4 to 0.05 m needs
};

struct MapAlignment {
  Pose2 first_second;      ///< pose of the second map's frame in the first's
  double agreement = 0.0;  ///< length of the second's walls that lie on the first's / length of the shorter map's walls
  double runner_up = 0.0;  ///< the same for the best motion that is another one (0.5 m or 5 degrees away); 0: none
};

/// `near`, where given, is refined and nothing else is tried: two maps of one drive. Returns an agreement of 0 where
/// either map has no walls. Use no alignment below an agreement of about 0.3: chance gives half of that.
MapAlignment align_walls(std::span<const WallPiece> first, std::span<const WallPiece> second,
                         const std::optional<Pose2>& near, const MapAlignmentOptions& options = {});

}  // namespace wainscot
