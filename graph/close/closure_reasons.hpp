#pragma once

// What became of each tried pair, in words for people.

#include <string>
#include <vector>

#include "core/drive.hpp"
#include "graph/close/evidence.hpp"
#include "graph/close/judgement.hpp"
#include "graph/pose_graph.hpp"

namespace wainscot {

/// The candidate with its verdict and its reason, one sentence without full stop.
LoopCandidate told(const Tried& tried, const Judgement& judgement);

/// All of them, in the order of trying.
std::vector<LoopCandidate> told_all(const Evidence& evidence, const std::vector<Judgement>& judgements);

/// A sentence for each "yes" of the driver that the map was made without. `candidates`: told_all() of the evidence.
std::vector<std::string> hint_warnings(const std::vector<Hint>& hints, const Evidence& evidence,
                                       const std::vector<LoopCandidate>& candidates);

}  // namespace wainscot
