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
#include "graph/close/loose_events.hpp"
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

/// What closing has come to.
struct Closing {
  ClosedGraph closed;
  Evidence evidence;
  std::vector<Judgement> judgements;
};

/// Bends the graph of the chain's `edges` to the accepted closures, and takes back those that it does not reach then.
void bend(Closing& closing, const std::vector<Edge>& edges, const Chain& chain, bool joined) {
  ClosedGraph& closed = closing.closed;
  const auto bend_once = [&] {
    std::vector<Verified> closures;
    bool far = joined;
    for (const std::size_t i : accepted_of(closing.judgements)) {
      const Tried& t = closing.evidence.tried[i];
      far = far || (t.origin != Origin::nearness);
      closures.push_back(t.verified);
    }
    BentGraph result = bent(std::move(closed.graph), chain.poses, edges, closures, far);
    closed.graph = std::move(result.graph);
    if (!result.summary.usable) closed.warnings = {kNotANumber};
    const std::vector<double>& costs = result.summary.cost_by_iteration;
    if (costs.empty()) return;
    if (closed.cost_before == 0.0) closed.cost_before = costs.front();
    closed.cost_after = costs.back();
  };
  bend_once();
  const std::size_t before = accepted_of(closing.judgements).size();
  for (const std::size_t i : accepted_of(closing.judgements)) {
    if (!is_reached(closing.evidence.tried[i].verified, closed.graph)) closing.judgements[i] = {Outcome::withdrawn};
  }
  if (accepted_of(closing.judgements).size() < before) bend_once();
}

/// Places as they look where the graph puts their nodes.
std::vector<Verified> verify_in(const PoseGraph& graph, const std::vector<Proposal>& proposals, const Chain& chain,
                                int threads) {
  std::vector<Pose2> poses;
  for (const Node& node : graph.nodes) poses.push_back(node.pose);
  return verify_all(proposals, {chain.keyframes, poses, chain.ways_m, chain.noise}, threads);
}

/// Seeks and judges closures, round by round.
class Rounds {
 public:
  Rounds(const TrackedPath& tracked, const Chain& chain, const LoopClosureOptions& options, int threads)
      : options_(options),
        forbidden_(options.hints, chain),
        marked_(marked_pairs(options.sightings, chain, forbidden_, options.revisits.min_way_m)),
        signatures_(chain.seen()),
        threads_(threads) {
    closing_.closed.graph = graph_of(tracked);
  }

  int most() const { return options_.most_rounds + (meets() ? 1 : 0); }

  /// Until nothing changes. `progress` gets the number of rounds done.
  void run(const std::vector<Edge>& edges, const Chain& chain, const std::function<void(int)>& progress) {
    for (int round = 0; round < most(); ++round) {
      const std::vector<std::size_t> before = accepted_of(closing_.judgements);
      seek(chain);
      closing_.judgements = judge(closing_.evidence, before, chain);
      if (accepted_of(closing_.judgements) == before) return;
      settle(edges, chain);
      if (accepted_of(closing_.judgements) == before) return;
      progress(round + 1);
    }
  }

  /// Forgets what was tried in vain, and bends the graph anew: the chain's edges are others now.
  void reopen(const std::vector<Edge>& edges, const Chain& chain) {
    settle(edges, chain);
    closing_.evidence = without_failures(std::move(closing_.evidence));
    closing_.judgements = judge(closing_.evidence, {}, chain);
  }

  /// Bends the graph of these edges to what is believed so far.
  void settle(const std::vector<Edge>& edges, const Chain& chain) {
    bend(closing_, edges, chain, !options_.parts.empty());
  }

  ClosedGraph take() {
    ClosedGraph closed = std::move(closing_.closed);
    closed.candidates = told_all(closing_.evidence, closing_.judgements);
    for (std::string& warning : hint_warnings(options_.hints, closing_.evidence, closed.candidates)) {
      closed.warnings.push_back(std::move(warning));
    }
    return closed;
  }

 private:
  /// First of all, parts of a joined recording are sought where they are expected to meet.
  bool meets() const { return !options_.expected.empty(); }

  void seek(const Chain& chain) {
    Evidence& evidence = closing_.evidence;
    const PoseGraph& graph = closing_.closed.graph;
    const bool first = !std::exchange(has_begun_, true);
    if (first) evidence = begun(chain, marked_, options_);
    evidence = with_markers(std::move(evidence), graph, chain, marked_, options_);
    const std::vector<Proposal> proposals =
        without_tried(first && meets() ? propose_part_meetings(options_.expected, chain, forbidden_)
                                       : propose_revisits(graph, chain, forbidden_, signatures_, options_.revisits),
                      evidence);
    const std::vector<Verified> verified = verify_in(graph, proposals, chain, threads_);
    evidence = with_proposals(std::move(evidence), proposals, verified);
    evidence = with_hypotheses(std::move(evidence), chain, forbidden_);
  }

  const LoopClosureOptions& options_;
  ForbiddenPairs forbidden_;
  std::vector<MarkerPair> marked_;
  PlaceSignatures signatures_;
  int threads_;
  bool has_begun_ = false;
  Closing closing_;
};

}  // namespace

ClosedGraph close_loops(const TrackedPath& tracked, const RangeNoise& noise, const LoopClosureOptions& options,
                        int threads, const std::function<void(double)>& progress) {
  const Chain chain = chain_of(tracked, noise, options.parts);
  Rounds rounds(tracked, chain, options, threads);
  const std::vector<Edge> in_the_end = with_loose_steps(tracked.edges, unconfirmed_steps(tracked));
  const std::vector<Edge> loose_edges = with_loose_steps(in_the_end, matched_events(tracked));
  const bool again = rounds.most() > 0 && !(matched_events(tracked).empty() && unconfirmed_steps(tracked).empty());
  const double times = again ? 2.0 : 1.0;
  const auto told = [&](double phase) {
    return [&, phase](int done) {
      if (progress) progress((phase + static_cast<double>(done) / rounds.most()) / times);
    };
  };
  rounds.run(tracked.edges, chain, told(0.0));
  if (!again) return rounds.take();

  Chain loose = chain;
  loose.drift = ChainDrift(tracked.poses, loose_edges);
  rounds.reopen(loose_edges, loose);
  rounds.run(loose_edges, loose, told(1.0));
  rounds.settle(in_the_end, chain);
  return rounds.take();
}

}  // namespace wainscot
