#include "graph/close/judgement.hpp"

#include <algorithm>
#include <cmath>

#include "graph/close/consistency.hpp"

namespace wainscot {
namespace {

/// What was tried near a hypothesis and does not come from any speaks for or against it: a wrong one puts rooms where
/// others were seen.
bool is_contradicted_later(const Hypothesis& hypothesis, bool believed, const std::vector<Tried>& tried,
                           const Chain& chain) {
  // Way along the drive that a hypothesis has a say in, chosen by hand: as far as a home is long. Half as much hears
  // fewer witnesses against a wrong one; twice as much lets another wrong one speak against a right one.
  constexpr double kAroundM = 25.0;
  const std::vector<double>& ways_m = chain.ways_m;
  const LoopCandidate& seed = hypothesis.seed.candidate;
  std::size_t fits = hypothesis.fits.size();
  std::size_t against = hypothesis.against.size();
  for (const Tried& t : tried) {
    const LoopCandidate& c = t.verified.candidate;
    if (t.hypothesis || std::abs(ways_m[c.to] - ways_m[seed.to]) > kAroundM ||
        std::abs(ways_m[c.from] - ways_m[seed.from]) > kAroundM) {
      continue;
    }
    // Walls that do not fit where the hypothesis does not put them say nothing of it.
    if (t.verified.fit == Fit::open || !closures_agree(t.verified, hypothesis.seed, chain.drift)) continue;
    if (t.verified.fit == Fit::fits) ++fits;
    if (t.verified.fit == Fit::contradicts && believed) ++against;
  }
  return 2 * against > fits;
}

/// By hypothesis.
std::vector<std::optional<Doubt>> all_doubts(const Evidence& evidence, const std::vector<std::size_t>& believed,
                                             const Chain& chain) {
  std::vector<std::optional<Doubt>> result = doubts(evidence.hypotheses, chain, chance_of_fit(evidence.tried));
  for (std::size_t h = 0; h < evidence.hypotheses.size(); ++h) {
    if (result[h]) continue;
    const bool is_believed =
        std::any_of(believed.begin(), believed.end(), [&](std::size_t i) { return evidence.tried[i].hypothesis == h; });
    if (is_contradicted_later(evidence.hypotheses[h], is_believed, evidence.tried, chain)) {
      result[h] = Doubt::contradicted_later;
    }
  }
  return result;
}

}  // namespace

std::vector<Judgement> judge(const Evidence& evidence, const std::vector<std::size_t>& believed, const Chain& chain) {
  const std::vector<std::optional<Doubt>> doubt = all_doubts(evidence, believed, chain);
  std::vector<Judgement> judgements(evidence.tried.size());
  std::vector<std::size_t> fitting;  // indices into evidence.tried
  std::vector<Verified> closures;
  for (std::size_t i = 0; i < evidence.tried.size(); ++i) {
    const Tried& t = evidence.tried[i];
    if (t.verified.fit != Fit::fits) continue;
    if (t.hypothesis && doubt[*t.hypothesis]) {
      judgements[i] = {Outcome::doubted, doubt[*t.hypothesis]};
      continue;
    }
    judgements[i].outcome = Outcome::disagrees;
    fitting.push_back(i);
    closures.push_back(t.verified);
  }
  for (const std::size_t i : largest_consistent_set(closures, chain.drift)) {
    judgements[fitting[i]].outcome = Outcome::accepted;
  }
  return judgements;
}

std::vector<std::size_t> accepted_of(const std::vector<Judgement>& judgements) {
  std::vector<std::size_t> accepted;
  for (std::size_t i = 0; i < judgements.size(); ++i) {
    if (judgements[i].outcome == Outcome::accepted) accepted.push_back(i);
  }
  return accepted;
}

}  // namespace wainscot
