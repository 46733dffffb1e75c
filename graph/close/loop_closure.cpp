#include "graph/close/loop_closure.hpp"

#include <algorithm>
#include <cstddef>
#include <string>
#include <utility>

#include "graph/close/bent_graph.hpp"
#include "graph/close/chain.hpp"
#include "graph/close/closure_reasons.hpp"
#include "graph/close/evidence.hpp"
#include "graph/close/hinted_places.hpp"
#include "graph/close/judgement.hpp"
#include "graph/close/marked_places.hpp"
#include "graph/close/part_meetings.hpp"
#include "graph/close/place_signatures.hpp"
#include "graph/close/proposal.hpp"
#include "graph/drift.hpp"

namespace wainscot {
namespace {

constexpr const char* kNotANumber =
    "the loops could not be worked into the map, since a part of it is not a number: look for ranges, times or hints "
    "that are much too large";

/// Before the first round: the driver's hints, put to the walls, and the markers seen again, which are still open.
Evidence begun(const Chain& chain, const std::vector<MarkerPair>& marked, const LoopClosureOptions& options) {
  Evidence evidence;
  for (const HintedPlace& place : verify_hints(options.hints, chain)) {
    evidence.tried.push_back({place.verified, Origin::hint, place.hint});
  }
  for (std::size_t i = 0; i < marked.size(); ++i) evidence.tried.push_back({Verified{}, Origin::marker, i});
  return evidence;
}

/// Asks those markers again that neither the walls nor, once the drift is small, the marker alone has settled.
Evidence with_markers(Evidence evidence, const PoseGraph& graph, const Chain& chain,
                      const std::vector<MarkerPair>& marked, const LoopClosureOptions& options) {
  if (marked.empty()) return evidence;
  const DriftTree tree(graph);
  for (Tried& t : evidence.tried) {
    if (t.origin != Origin::marker || t.verified.fit != Fit::open) continue;
    const NodeSighting& earlier = options.sightings[marked[t.which].earlier];
    const NodeSighting& later = options.sightings[marked[t.which].later];
    const std::vector<Eigen::Matrix3d> covariances = tree.covariances_from(later.node);
    const Proposal predicted = proposed(graph.nodes, covariances, earlier.node, later.node);
    t.verified = verify_marked(earlier, later, predicted, is_near(predicted.covariance, options.revisits), chain);
    t.verified.marker = options.markers[earlier.marker];
  }
  return evidence;
}

/// Bends the graph to the accepted closures, and takes back, in `judgements`, those that it does not reach then.
ClosedGraph with_closures(ClosedGraph closed, const TrackedPath& tracked, const Evidence& evidence,
                          std::vector<Judgement>& judgements, bool joined) {
  const auto bend = [&] {
    std::vector<Verified> closures;
    bool far = joined;
    for (const std::size_t i : accepted_of(judgements)) {
      const Tried& t = evidence.tried[i];
      far = far || (t.origin != Origin::nearness);
      closures.push_back(t.verified);
    }
    BentGraph result = bent(std::move(closed.graph), tracked, closures, far);
    closed.graph = std::move(result.graph);
    if (!result.summary.usable) closed.warnings = {kNotANumber};
    const std::vector<double>& costs = result.summary.cost_by_iteration;
    if (costs.empty()) return;
    if (closed.cost_before == 0.0) closed.cost_before = costs.front();
    closed.cost_after = costs.back();
  };
  bend();
  const std::size_t before = accepted_of(judgements).size();
  for (const std::size_t i : accepted_of(judgements)) {
    if (!is_reached(evidence.tried[i].verified, closed.graph)) judgements[i] = {Outcome::withdrawn};
  }
  if (accepted_of(judgements).size() < before) bend();
  return closed;
}

/// Places as they look where the graph puts their nodes.
std::vector<Verified> verify_in(const PoseGraph& graph, const std::vector<Proposal>& proposals, const Chain& chain,
                                int threads) {
  std::vector<Pose2> poses;
  for (const Node& node : graph.nodes) poses.push_back(node.pose);
  return verify_all(proposals, {chain.keyframes, poses, chain.ways_m, chain.noise}, threads);
}

}  // namespace

ClosedGraph close_loops(const TrackedPath& tracked, const RangeNoise& noise, const LoopClosureOptions& options,
                        int threads, const std::function<void(double)>& progress) {
  const Chain chain = chain_of(tracked, noise, options.parts);
  const ForbiddenPairs forbidden(options.hints, chain);
  const std::vector<MarkerPair> marked = marked_pairs(options.sightings, chain, forbidden, options.revisits.min_way_m);
  const bool meet = !options.expected.empty();  // first of all, parts of a joined recording where they are expected to
  const int most_rounds = options.most_rounds + (meet ? 1 : 0);
  PlaceSignatures signatures(chain.seen());
  ClosedGraph closed;
  closed.graph = graph_of(tracked);
  Evidence evidence;
  std::vector<Judgement> judgements;
  for (int round = 0; round < most_rounds; ++round) {
    if (round == 0) evidence = begun(chain, marked, options);
    evidence = with_markers(std::move(evidence), closed.graph, chain, marked, options);

    const std::vector<Proposal> proposals = without_tried(
        round == 0 && meet ? propose_part_meetings(options.expected, chain, forbidden)
                           : propose_revisits(closed.graph, chain, forbidden, signatures, options.revisits),
        evidence);
    const std::vector<Verified> verified = verify_in(closed.graph, proposals, chain, threads);
    evidence = with_proposals(std::move(evidence), proposals, verified);
    evidence = with_hypotheses(std::move(evidence), chain, forbidden);

    const std::vector<std::size_t> before = accepted_of(judgements);
    judgements = judge(evidence, before, chain);
    if (accepted_of(judgements) == before) break;
    closed = with_closures(std::move(closed), tracked, evidence, judgements, !options.parts.empty());
    if (accepted_of(judgements) == before) break;
    if (progress) progress(static_cast<double>(round + 1) / most_rounds);
  }
  closed.candidates = told_all(evidence, judgements);
  for (std::string& warning : hint_warnings(options.hints, evidence, closed.candidates)) {
    closed.warnings.push_back(std::move(warning));
  }
  return closed;
}

}  // namespace wainscot
