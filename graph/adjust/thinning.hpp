#pragma once

// Which nodes carry information: once a place has been seen from the same side a few times, further nodes there tell
// nothing new of the walls, but cost as much as the first.

#include <cstddef>
#include <vector>

#include "core/pose2.hpp"

namespace wainscot {

struct ThinningOptions {
  double cell_m = 0.5;           ///< places are told apart by square cells of this side
  int headings = 4;              ///< and by sectors of the heading
  int fewest_of_a_place = 2;     ///< nodes of each place and sector that are always kept
  std::size_t most_nodes = 560;  ///< each place keeps as many as it has while all together are no more than this
};

/// Indices of the nodes to keep, ascending; the first and the last node always. A drive through one home keeps all of
/// its nodes, a long one through the same rooms again and again the first of each place.
std::vector<std::size_t> informative_nodes(const std::vector<Pose2>& poses, const ThinningOptions& options = {});

}  // namespace wainscot
