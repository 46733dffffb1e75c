#pragma once

// A hypothesis that a later stretch of the drive runs through a place that an earlier one has seen, though odometry
// cannot tell: it begins with one pair of nodes whose walls fit, and is tested on what follows from it. The nodes
// before and after must fit as well wherever the hypothesis puts them into known rooms; where they do not, it is wrong.
// A room that looks like another one fits by itself, but its door leads elsewhere.

#include <cstddef>
#include <optional>
#include <vector>

#include "graph/close/chain.hpp"
#include "graph/close/verification.hpp"

namespace wainscot {

struct HypothesisOptions {
  double step_m = 1.0;     ///< the stretch is tested at nodes this far apart,
  double way_m = 14.0;     ///< so far along the way before and after
  double reach_m = 2.5;    ///< against the nearest earlier node within this, see RevisitOptions::max_distance_m
  double min_way_m = 8.0;  ///< see RevisitOptions
  double witness_m = 2.0;  ///< nodes that fit, but lie nearer to one another, are one witness: a corner of a room
  /// Of all witnesses being chance, for any place tried. Chosen on a recorded ring of corridors, where six right fits
  /// leave 0.0035; what is believed by it can still be taken back in a later round.
  double most_doubt = 5e-3;
  double places_tried = 4.0;    ///< see RevisitOptions::far_most
  double least_extent_m = 2.0;  ///< over which nodes fit, however rare chance is
  /// Where the drift spans whole rooms: one room is not enough, its door and what is behind must fit as well.
  double wide_sd_m = 2.0;
  double wide_least_extent_m = 4.0;  ///< longer than a room's way to its door, by hand
  double tight_sd_m = 1.0;           ///< hypotheses further apart by the drift may agree by chance
  /// Metres of the way that contradict / metres that fit. Chosen on a recorded museum, where a part of 8 m had changed
  /// beside 17 m that fit.
  double most_against = 0.5;
  /// How much oftener places contradict that are not the same: in two recorded drives 535 of 597 wrong pairs did, and
  /// 41 of 491 right ones.
  double contradiction_odds = 10.0;
  double rival = 0.6;  ///< another place that explains so many of the fits makes the hypothesis ambiguous
};

struct Hypothesis {
  Verified seed;                     ///< the pair that it began with
  double sd_m = 0.0;                 ///< of the seed's predicted position, by the drift
  double share = 1.0;                ///< of the poses among which the seed was found, 0..1, those that the drift allows
  std::vector<Verified> fits;        ///< the seed first
  std::vector<std::size_t> against;  ///< later nodes that contradict it
};

/// Tests a pair on the nodes around it.
Hypothesis tested(const Verified& seed, double sd_m, const Chain& chain, const HypothesisOptions& options = {});

/// Whether `closure` says the same as the hypothesis about nodes that it has tested.
bool explains(const Hypothesis& hypothesis, const Verified& closure, const Chain& chain,
              const HypothesisOptions& options = {});

/// Why a hypothesis is not believed.
enum class Doubt {
  refuted,             ///< the places before and behind do not fit
  too_little,          ///< too few of them do to exclude chance
  rivalled,            ///< another place explains the later stretch about as well
  contradicted_later,  ///< by pairs that no hypothesis proposed (graph/close/judgement)
};

/// For each hypothesis nothing, or what by itself and by the others speaks against it. `chance`: how often, 0..1, the
/// walls of two places that are not the same coincide in this house.
std::vector<std::optional<Doubt>> doubts(const std::vector<Hypothesis>& hypotheses, const Chain& chain, double chance,
                                         const HypothesisOptions& options = {});

}  // namespace wainscot
