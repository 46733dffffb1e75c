#include "graph/close/evidence.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <set>
#include <utility>

#include <Eigen/Dense>

#include "graph/drift.hpp"

namespace wainscot {
namespace {

using Pair = std::pair<std::size_t, std::size_t>;

/// Two neighbouring earlier nodes see the same walls.
Pair about(std::size_t from, std::size_t to) { return {from / 2, to}; }

/// The tried pairs that no hypothesis has been asked about, those with the greatest overlap first.
std::vector<std::size_t> seeds_of(const std::vector<Tried>& tried) {
  std::vector<std::size_t> seeds;
  for (std::size_t i = 0; i < tried.size(); ++i) {
    const Tried& t = tried[i];
    if (t.origin == Origin::likeness && t.verified.fit == Fit::fits && !t.hypothesis) seeds.push_back(i);
  }
  std::stable_sort(seeds.begin(), seeds.end(), [&](std::size_t a, std::size_t b) {
    return tried[a].verified.candidate.overlap > tried[b].verified.candidate.overlap;
  });
  return seeds;
}

void add_fits(Evidence& evidence, std::size_t hypothesis, const ForbiddenPairs& forbidden) {
  const std::vector<Verified>& fits = evidence.hypotheses[hypothesis].fits;
  for (std::size_t i = 1; i < fits.size(); ++i) {  // the first is the seed
    if (forbidden.contains(fits[i].candidate.from, fits[i].candidate.to)) continue;
    Tried fit;
    fit.verified = fits[i];
    fit.origin = Origin::hypothesis;
    fit.hypothesis = hypothesis;
    evidence.tried.push_back(fit);
  }
}

/// Of the poses that the search for a place that looks alike goes through, about the share that the drift allows: a
/// coincidence would lie anywhere among them, and be noticed outside.
double share_within_drift(const Eigen::Matrix3d& covariance) {
  const VerificationOptions options;
  const double searched_m2 = 4.0 * options.far_search_m * options.far_search_m;
  const double gate = options.max_chi_squared;
  const double allowed_m2 = std::numbers::pi * gate * std::sqrt(covariance.topLeftCorner<2, 2>().determinant());
  // Walls are parallel in four headings mostly, of which one lies within the drift, or more.
  const double headings = std::clamp(std::sqrt(gate * covariance(2, 2)) / std::numbers::pi, 0.25, 1.0);
  return headings * std::min(allowed_m2 / searched_m2, 1.0);
}

}  // namespace

double chance_of_fit(const std::vector<Tried>& tried) {
  constexpr double kBefore = 64.0;   // pairs, of which one fitted: assumed
  constexpr double kSeldom = 0.002;  // rooms alike may be those that were not seen twice
  double all = kBefore;
  double fitting = 1.0;
  for (const Tried& t : tried) {
    if (t.origin != Origin::likeness || t.verified.fit == Fit::fits) continue;
    all += 1.0;
    fitting += t.verified.outside_drift ? 1.0 : 0.0;
  }
  return std::max(fitting / all, kSeldom);
}

std::vector<Proposal> without_tried(const std::vector<Proposal>& proposals, const Evidence& evidence) {
  std::set<Pair> beside;
  std::set<Pair> alike;
  for (const Tried& t : evidence.tried) {
    const LoopCandidate& c = t.verified.candidate;
    if (t.origin == Origin::nearness || t.origin == Origin::hypothesis) beside.insert(about(c.from, c.to));
    if (t.origin == Origin::likeness) alike.insert({c.from, c.to});
  }
  std::vector<Proposal> kept;
  for (const Proposal& p : proposals) {
    const bool known = p.anywhere ? alike.contains({p.from, p.to}) : beside.contains(about(p.from, p.to));
    if (!known) kept.push_back(p);
  }
  return kept;
}

Evidence without_failures(Evidence evidence) {
  std::erase_if(evidence.tried, [](const Tried& t) {
    const bool proposed = t.origin == Origin::nearness || t.origin == Origin::likeness;
    return proposed && t.verified.fit != Fit::fits;
  });
  return evidence;
}

Evidence with_proposals(Evidence evidence, const std::vector<Proposal>& proposals,
                        const std::vector<Verified>& verified) {
  for (std::size_t i = 0; i < proposals.size(); ++i) {
    Tried tried;
    tried.verified = verified[i];
    tried.origin = proposals[i].anywhere ? Origin::likeness : Origin::nearness;
    if (proposals[i].anywhere) {
      tried.sd_m = position_sd_m(proposals[i].covariance);
      tried.share = share_within_drift(proposals[i].covariance);
    }
    evidence.tried.push_back(tried);
  }
  return evidence;
}

Evidence with_hypotheses(Evidence evidence, const Chain& chain, const ForbiddenPairs& forbidden) {
  std::vector<Hypothesis>& hypotheses = evidence.hypotheses;
  for (const std::size_t seed : seeds_of(evidence.tried)) {
    const Verified verified = evidence.tried[seed].verified;
    const auto same = std::find_if(hypotheses.begin(), hypotheses.end(),
                                   [&](const Hypothesis& h) { return explains(h, verified, chain); });
    evidence.tried[seed].hypothesis = static_cast<std::size_t>(same - hypotheses.begin());
    if (same != hypotheses.end()) continue;
    hypotheses.push_back(tested(verified, evidence.tried[seed].sd_m, chain));
    hypotheses.back().share = evidence.tried[seed].share;
    add_fits(evidence, hypotheses.size() - 1, forbidden);
  }
  return evidence;
}

}  // namespace wainscot
