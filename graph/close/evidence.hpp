#pragma once

// What loop closing has found out so far: every pair of nodes that was put to the walls, with why, and the hypotheses
// that some of them gave rise to. Nothing here is a decision (graph/close/judgement).

#include <cstddef>
#include <optional>
#include <vector>

#include "graph/close/chain.hpp"
#include "graph/close/hinted_places.hpp"
#include "graph/close/hypothesis.hpp"
#include "graph/close/proposal.hpp"
#include "graph/close/verification.hpp"

namespace wainscot {

/// Why a pair was tried.
enum class Origin {
  hint,        ///< the person who drove says that it is one place
  marker,      ///< a marker was seen at both nodes
  nearness,    ///< the prediction puts them beside each other
  likeness,    ///< they look alike, and the prediction says too little
  hypothesis,  ///< a hypothesis puts them beside each other
};

struct Tried {
  Verified verified;
  Origin origin = Origin::nearness;
  std::size_t which = 0;                       ///< of Origin::hint or marker: index of the hint or the marker pair
  double sd_m = 0.0;                           ///< of Origin::likeness: of the predicted position, by the drift
  double share = 1.0;                          ///< of Origin::likeness: of the poses searched, those the drift allows
  std::optional<std::size_t> hypothesis = {};  ///< that it belongs to, index into Evidence::hypotheses
};

struct Evidence {
  std::vector<Tried> tried;  ///< in the order of trying
  std::vector<Hypothesis> hypotheses;
};

/// How often the walls of two places that look alike, but are not the same, coincide in this house, 0..1: of the pairs
/// that looked alike and did not fit, the share whose walls do, though the drift excludes it. A house of identical
/// rooms has many. Before any is tried, one in 64: in six recorded buildings it was 10 of 1,679, from none of 548 in
/// one to 6 of 83 in another.
double chance_of_fit(const std::vector<Tried>& tried);

/// Without those that the evidence has already: pairs that look alike are tried once, pairs beside each other once for
/// every two earlier nodes.
std::vector<Proposal> without_tried(const std::vector<Proposal>& proposals, const Evidence& evidence);

/// Without the pairs that were proposed and did not fit: when the drift is wider they are to be tried again.
Evidence without_failures(Evidence evidence);

/// `verified[i]`: what the walls say of `proposals[i]`.
Evidence with_proposals(Evidence evidence, const std::vector<Proposal>& proposals,
                        const std::vector<Verified>& verified);

/// Every pair that looks alike and fits belongs to a hypothesis then: to one that says the same, else to a new one,
/// which is tested along the chain. The pairs that fit in the test, but for those that are forbidden, are tried ones
/// too.
Evidence with_hypotheses(Evidence evidence, const Chain& chain, const ForbiddenPairs& forbidden);

}  // namespace wainscot
