#include "graph/close/hypothesis.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include <Eigen/Dense>

#include "graph/close/consistency.hpp"
#include "graph/close/place.hpp"

namespace wainscot {
namespace {

/// Follows a pair of nodes along the chain.
class Test {
 public:
  Test(const Verified& seed, const Chain& chain, const HypothesisOptions& options)
      : seed_(seed), chain_(chain), options_(options) {}

  /// Away from the seed, in one direction, until what contradicts it is too much.
  void follow(int direction, Hypothesis& hypothesis) const {
    const std::vector<double>& ways = chain_.ways_m;
    std::size_t node = seed_.candidate.to;
    double next_way = ways[node] + direction * options_.step_m;
    const double last_way = ways[node] + direction * options_.way_m;
    while (direction > 0 ? node + 1 < ways.size() : node > 0) {
      node = direction > 0 ? node + 1 : node - 1;
      if (direction * (ways[node] - last_way) > 0.0) return;
      if (direction * (ways[node] - next_way) < 0.0) continue;
      next_way = ways[node] + direction * options_.step_m;
      add(node, hypothesis);
      if (hypothesis.against.size() >= 3 && hypothesis.against.size() > hypothesis.fits.size()) return;
    }
  }

 private:
  /// The pose of a later node in the frame of the seed's earlier node.
  Pose2 expected(std::size_t later) const {
    return seed_.candidate.found * between(chain_.poses[seed_.candidate.to], chain_.poses[later]);
  }

  std::optional<std::size_t> nearest_earlier(std::size_t later, const Pose2& pose) const {
    const std::vector<double>& ways = chain_.ways_m;
    const std::size_t origin = seed_.candidate.from;
    const Eigen::Vector2d place = chain_.poses[origin] * pose.translation();
    const auto first = std::lower_bound(ways.begin(), ways.end(), ways[origin] - 1.5 * options_.way_m);
    std::optional<std::size_t> best;
    double nearest = options_.reach_m;
    for (auto k = static_cast<std::size_t>(first - ways.begin()); k < later; ++k) {
      if (ways[k] > ways[origin] + 1.5 * options_.way_m || ways[later] - ways[k] < options_.min_way_m) break;
      const double distance = (chain_.poses[k].translation() - place).norm();
      if (distance >= nearest) continue;
      nearest = distance;
      best = k;
    }
    return best;
  }

  void add(std::size_t later, Hypothesis& hypothesis) const {
    const Pose2 pose = expected(later);
    const std::optional<std::size_t> earlier = nearest_earlier(later, pose);
    if (!earlier) return;
    const std::size_t from = seed_.candidate.from;
    const std::size_t to = seed_.candidate.to;
    const Pose2 predicted = between(chain_.poses[*earlier], chain_.poses[from]) * pose;
    const Pose2 onward = between(chain_.poses[to], chain_.poses[later]);
    const Eigen::Matrix3d covariance = chain_.drift.between_nodes(to, later) +
                                       carried(closure_covariance(seed_), onward) +
                                       carried(chain_.drift.between_nodes(*earlier, from), pose);
    const Place before(chain_.seen(), *earlier);
    const Place behind(chain_.seen(), later);
    const Verified verified = verify(before, behind, predicted, covariance, chain_.noise);
    if (verified.fit == Fit::fits) hypothesis.fits.push_back(verified);
    if (verified.fit == Fit::contradicts) hypothesis.against.push_back(later);
  }

  const Verified& seed_;
  const Chain& chain_;
  const HypothesisOptions& options_;
};

/// Later nodes of one verdict.
struct Verdicts {
  std::size_t metres = 0;  ///< of the later way in which they lie
  double extent_m = 0.0;   ///< largest distance between them
};

/// What hypotheses that agree with one another, and not by chance, have together.
struct Pool {
  Verdicts fits;
  Verdicts against;
};

/// Whether two hypotheses say the same, and the drift between them is too small for that to be chance.
bool support_each_other(const Hypothesis& a, const Hypothesis& b, const Chain& chain,
                        const HypothesisOptions& options) {
  const auto tight = [&](std::size_t i, std::size_t j) {
    const Eigen::Matrix3d covariance = chain.drift.between_nodes(i, j);
    return std::max(covariance(0, 0), covariance(1, 1)) < options.tight_sd_m * options.tight_sd_m;
  };
  return tight(a.seed.candidate.from, b.seed.candidate.from) && tight(a.seed.candidate.to, b.seed.candidate.to) &&
         closures_agree(a.seed, b.seed, chain.drift);
}

using ByMetre = std::map<long, Eigen::Vector2d>;

Verdicts verdicts_of(const ByMetre& by_metre) {
  Verdicts verdicts{by_metre.size(), 0.0};
  for (const auto& [metre, place] : by_metre) {
    for (const auto& [other_metre, other] : by_metre) {
      verdicts.extent_m = std::max(verdicts.extent_m, (place - other).norm());
    }
  }
  return verdicts;
}

Pool pooled(const std::vector<const Hypothesis*>& members, const Chain& chain) {
  ByMetre fits;
  ByMetre against;
  const auto add = [&](std::size_t node, ByMetre& to) {
    to.emplace(std::lround(chain.ways_m[node]), chain.poses[node].translation());
  };
  for (const Hypothesis* h : members) {
    for (const Verified& fit : h->fits) add(fit.candidate.to, fits);
    for (const std::size_t node : h->against) add(node, against);
  }
  return {verdicts_of(fits), verdicts_of(against)};
}

std::vector<Pool> pools_of(const std::vector<Hypothesis>& hypotheses, const Chain& chain,
                           const HypothesisOptions& options) {
  std::vector<Pool> pools;
  for (const Hypothesis& h : hypotheses) {
    std::vector<const Hypothesis*> members;
    for (const Hypothesis& other : hypotheses) {
      if (&h == &other || support_each_other(h, other, chain, options)) members.push_back(&other);
    }
    pools.push_back(pooled(members, chain));
  }
  return pools;
}

bool is_refuted(const Pool& pool, const HypothesisOptions& options) {
  return static_cast<double>(pool.against.metres) > options.most_against * static_cast<double>(pool.fits.metres);
}

/// Those that stand apart err independently.
double witnesses(const Verdicts& verdicts, const HypothesisOptions& options) {
  return std::min(static_cast<double>(verdicts.metres), 1.0 + std::floor(verdicts.extent_m / options.witness_m));
}

/// Whether what fits is too much for chance, what contradicts considered.
bool excludes_chance(const Pool& pool, double share, double chance, const HypothesisOptions& options) {
  const double by_chance = options.places_tried * share * std::pow(chance, witnesses(pool.fits, options));
  return by_chance * std::pow(options.contradiction_odds, witnesses(pool.against, options)) <= options.most_doubt;
}

std::optional<Doubt> own_doubt(const Hypothesis& h, const Pool& pool, double chance, const HypothesisOptions& options) {
  if (is_refuted(pool, options)) return Doubt::refuted;
  const double least_m = h.sd_m > options.wide_sd_m ? options.wide_least_extent_m : options.least_extent_m;
  if (pool.fits.extent_m < least_m || !excludes_chance(pool, h.share, chance, options)) return Doubt::too_little;
  return std::nullopt;
}

/// Whether both hypotheses speak of the same later stretch and say different things.
bool are_rivals(const Hypothesis& a, const Hypothesis& b, const Chain& chain, const HypothesisOptions& options) {
  const double way = std::abs(chain.ways_m[a.seed.candidate.to] - chain.ways_m[b.seed.candidate.to]);
  return way < options.way_m && !closures_agree(a.seed, b.seed, chain.drift);
}

}  // namespace

Hypothesis tested(const Verified& seed, double sd_m, const Chain& chain, const HypothesisOptions& options) {
  Hypothesis hypothesis;
  hypothesis.seed = seed;
  hypothesis.sd_m = sd_m;
  hypothesis.fits.push_back(seed);
  const Test test(seed, chain, options);
  test.follow(1, hypothesis);
  test.follow(-1, hypothesis);
  return hypothesis;
}

bool explains(const Hypothesis& hypothesis, const Verified& closure, const Chain& chain,
              const HypothesisOptions& options) {
  const LoopCandidate& seed = hypothesis.seed.candidate;
  const LoopCandidate& other = closure.candidate;
  return std::abs(chain.ways_m[seed.to] - chain.ways_m[other.to]) < options.way_m &&
         std::abs(chain.ways_m[seed.from] - chain.ways_m[other.from]) < options.way_m &&
         closures_agree(hypothesis.seed, closure, chain.drift);
}

std::vector<std::optional<Doubt>> doubts(const std::vector<Hypothesis>& hypotheses, const Chain& chain, double chance,
                                         const HypothesisOptions& options) {
  const std::vector<Pool> pools = pools_of(hypotheses, chain, options);
  std::vector<std::optional<Doubt>> result;
  for (std::size_t i = 0; i < hypotheses.size(); ++i) {
    result.push_back(own_doubt(hypotheses[i], pools[i], chance, options));
    for (std::size_t j = 0; j < hypotheses.size() && !result[i]; ++j) {
      const bool strong =
          static_cast<double>(pools[j].fits.metres) >= options.rival * static_cast<double>(pools[i].fits.metres);
      if (i == j || !strong || is_refuted(pools[j], options)) continue;
      if (are_rivals(hypotheses[i], hypotheses[j], chain, options)) result[i] = Doubt::rivalled;
    }
  }
  return result;
}

}  // namespace wainscot
