#pragma once

// Places at which a marker was seen again. The marker's number proposes the pair and where in it, the walls decide;
// where they say nothing, the marker is believed alone if the drift is small enough that a misread number would have
// been noticed. What two sightings say of a pair of nodes stands in graph/markers/marker_closures.

#include <vector>

#include "graph/close/chain.hpp"
#include "graph/close/hinted_places.hpp"
#include "graph/close/proposal.hpp"
#include "graph/close/verification.hpp"
#include "graph/markers/marker_closures.hpp"

namespace wainscot {

/// The pairs of sightings worth a look, without those at one node and those that are forbidden. `min_way_m`: see
/// RevisitOptions.
std::vector<MarkerPair> marked_pairs(const std::vector<NodeSighting>& sightings, const Chain& chain,
                                     const ForbiddenPairs& forbidden, double min_way_m);

/// What the marker and the walls say of the two sightings' nodes. `predicted`: the pair as the graph predicts it;
/// `near`: its drift is small (is_near()). Open: to be asked again once the drift is smaller.
Verified verify_marked(const NodeSighting& earlier, const NodeSighting& later, const Proposal& predicted, bool near,
                       const Chain& chain);

}  // namespace wainscot
