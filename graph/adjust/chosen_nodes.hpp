#pragma once

// Which nodes take part in the joint adjustment.

#include <cstddef>
#include <vector>

#include "core/pose2.hpp"
#include "graph/markers/line_agreement.hpp"
#include "graph/markers/marker_agreement.hpp"

namespace wainscot {

/// Two nodes, the first one earlier.
struct NodePair {
  std::size_t from = 0;
  std::size_t to = 0;
};

/// Those that tell something new of the walls (graph/adjust/thinning.hpp), and some more at which each marker was seen
/// or each line followed: indices, ascending, the first and the last node among them.
std::vector<std::size_t> chosen_nodes(const std::vector<Pose2>& poses, const MarkerEvidence& markers,
                                      const LineEvidence& lines = {});

/// The pairs by the nodes' numbers among the chosen ones; of one that is not among them both are 0.
std::vector<NodePair> at_chosen(std::vector<NodePair> pairs, const std::vector<std::size_t>& chosen);

/// The sightings at chosen nodes, with the nodes' numbers among these.
MarkerEvidence at_chosen(MarkerEvidence markers, const std::vector<std::size_t>& chosen);

/// The stretches with the chosen ones of their nodes; those with fewer than two of them tell nothing and are not there.
LineEvidence at_chosen(LineEvidence lines, const std::vector<std::size_t>& chosen);

}  // namespace wainscot
