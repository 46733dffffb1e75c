#pragma once

// Which of the pairs that fit are believed: first the hypotheses, by what follows from them and what was seen later,
// then all pairs together, which have to agree with one another. Nothing is final: each round judges anew.

#include <cstddef>
#include <optional>
#include <vector>

#include "graph/close/chain.hpp"
#include "graph/close/evidence.hpp"
#include "graph/close/hypothesis.hpp"

namespace wainscot {

enum class Outcome {
  unfit,      ///< the walls do not fit, or leave it open
  doubted,    ///< its hypothesis is not believed
  disagrees,  ///< with the closures that are believed
  withdrawn,  ///< the optimised graph does not reach it (graph/close/bent_graph)
  accepted,
};

/// Of one tried pair.
struct Judgement {
  Outcome outcome = Outcome::unfit;
  std::optional<Doubt> doubt = {};  ///< why it is doubted
};

/// Of every tried pair, in their order; none is withdrawn. `believed`: indices of the pairs accepted so far; a
/// hypothesis among them is held to what was seen since.
std::vector<Judgement> judge(const Evidence& evidence, const std::vector<std::size_t>& believed, const Chain& chain);

/// Indices of the accepted ones, ascending.
std::vector<std::size_t> accepted_of(const std::vector<Judgement>& judgements);

}  // namespace wainscot
