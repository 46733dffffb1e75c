#pragma once

// Whether a recording that was joined from several drives became one map.

#include <vector>

#include "graph/drive_part.hpp"
#include "graph/map.hpp"

namespace wainscot {

/// Throws `PoorData` with the figures where a part of the graph is not tied to the first by any accepted closure.
void require_joined(const std::vector<DrivePart>& parts, const std::vector<Node>& nodes,
                    const std::vector<LoopCandidate>& candidates);

}  // namespace wainscot
