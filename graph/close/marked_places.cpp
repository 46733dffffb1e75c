#include "graph/close/marked_places.hpp"

#include <cmath>
#include <cstddef>
#include <optional>

#include <Eigen/Dense>

#include "core/chi_squared.hpp"
#include "graph/close/place.hpp"

namespace wainscot {
namespace {

Verified with_walls(std::size_t from, std::size_t to, const MarkerWord& word, const Chain& chain) {
  return verify(Place(chain.seen(), from), Place(chain.seen(), to), word.pose, word.covariance, chain.noise);
}

/// Without the marker's heading and with nothing known of the robot's: in all headings in which the walls are parallel.
Verified with_walls_anyhow(const NodeSighting& earlier, const NodeSighting& later, const Chain& chain) {
  // 6 degrees: the signature's directions are told to 3, and both places may be off by it.
  constexpr double kTurnErrorRad = 0.1;
  Verified best;
  best.candidate.from = earlier.node;
  best.candidate.to = later.node;
  best.candidate.reason = "the walls do not tell which way the robot looked";
  const Signature here = place_signature(chain.seen(), earlier.node);
  for (const double turn : here.turns_to(place_signature(chain.seen(), later.node), 4)) {
    const MarkerWord word = word_with_turn(earlier, later, turn, kTurnErrorRad);
    const Verified verified = with_walls(earlier.node, later.node, word, chain);
    if (verified.fit != Fit::fits) continue;
    if (best.fit != Fit::fits || verified.candidate.overlap > best.candidate.overlap) best = verified;
  }
  return best;
}

/// Where the walls say nothing (a bare corridor, seen from the other side), the marker's word holds if the drift is
/// small enough that a misread number would have been noticed.
void vouch(const MarkerWord& word, bool near, Verified& verified) {
  constexpr double kMostTurnSdRad = 0.03;  // beyond it the closure might turn a part of the house
  if (!near || std::sqrt(word.covariance(2, 2)) > kMostTurnSdRad) {
    verified.candidate.reason += ", and the drift is too large to trust a number alone";
    return;
  }
  verified.fit = Fit::fits;
  verified.by_marker_alone = true;
  verified.candidate.found = word.pose;
  verified.information = word.covariance.inverse();
}

Verified misread(const Proposal& predicted, const MarkerWord& word) {
  Verified verified;
  verified.candidate.from = predicted.from;
  verified.candidate.to = predicted.to;
  verified.candidate.found = word.pose;
  verified.fit = Fit::contradicts;
  verified.candidate.reason = "not at places that the drift allows to be one: a misread number, or it was moved";
  return verified;
}

}  // namespace

std::vector<MarkerPair> marked_pairs(const std::vector<NodeSighting>& sightings, const Chain& chain,
                                     const ForbiddenPairs& forbidden, double min_way_m) {
  std::vector<MarkerPair> pairs;
  for (const MarkerPair& pair : marker_pairs(sightings, chain.ways_m, {min_way_m})) {
    const std::size_t from = sightings[pair.earlier].node;
    const std::size_t to = sightings[pair.later].node;
    if (from != to && !forbidden.contains(from, to)) pairs.push_back(pair);
  }
  return pairs;
}

Verified verify_marked(const NodeSighting& earlier, const NodeSighting& later, const Proposal& predicted, bool near,
                       const Chain& chain) {
  constexpr double kBelieved = 0.999;  // the share of right readings that is kept, as at kPoseGate
  const std::optional<MarkerWord> word = word_of_marker(earlier, later, predicted.predicted, predicted.covariance);
  Verified verified;
  if (word && word->chi_squared > chi_squared_quantile(kBelieved, word->degrees)) {
    verified = misread(predicted, *word);
  } else if (word) {
    verified = with_walls(earlier.node, later.node, *word, chain);
    if (verified.fit == Fit::open) vouch(*word, near, verified);
  } else {
    verified = with_walls_anyhow(earlier, later, chain);
  }
  verified.candidate.predicted = predicted.predicted;
  if (word) verified.candidate.chi_squared = word->chi_squared;
  return verified;
}

}  // namespace wainscot
