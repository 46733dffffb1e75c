#pragma once

// Where the parts of a joined recording meet. Their own maps were laid on one another whole, which says where each node
// is expected; what the drift of a chain that breaks between them says is far less.

#include <vector>

#include "graph/close/chain.hpp"
#include "graph/close/hinted_places.hpp"
#include "graph/close/proposal.hpp"

namespace wainscot {

struct PartMeetingOptions {
  double spacing_m = 1.2;   ///< of the later nodes that are tried, see RevisitOptions
  double distance_m = 1.5;  ///< between the two nodes: nearer ones see the same walls
  /// What is expected is off by a few centimetres where both maps are bent a little.
  double sd_m = 0.08;
  double sd_rad = 0.02;  ///< a centimetre at half a metre, by hand
};

/// Of each later part, along its way, the nearest node of each earlier part. `expected`: pose of each node by the
/// parts' maps, in one frame. No pair that is forbidden.
std::vector<Proposal> propose_part_meetings(const std::vector<Pose2>& expected, const Chain& chain,
                                            const ForbiddenPairs& forbidden, const PartMeetingOptions& options = {});

}  // namespace wainscot
