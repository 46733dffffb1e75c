#include "graph/close/loop_closure.hpp"

#include <algorithm>
#include <cmath>
#include <memory>
#include <numbers>
#include <optional>
#include <set>
#include <utility>

#include <Eigen/Dense>

#include "core/chi_squared.hpp"
#include "graph/close/chain.hpp"
#include "graph/close/consistency.hpp"
#include "graph/close/hypothesis.hpp"
#include "graph/close/place.hpp"
#include "graph/drift.hpp"
#include "graph/markers/marker_closures.hpp"
#include "graph/optimiser.hpp"
#include "graph/parallel.hpp"
#include "graph/sentence.hpp"

namespace wainscot {
namespace {

struct Proposal {
  std::size_t from = 0;
  std::size_t to = 0;
  Pose2 predicted;
  Eigen::Matrix3d covariance;  // tangent space of `to`
  bool anywhere = false;       // the prediction says too little: search the whole place
};

constexpr const char* kHintBut = "a hint says that this is the same place, but ";
constexpr std::size_t kNone = static_cast<std::size_t>(-1);

/// A candidate and the hypothesis that it belongs to, if any.
struct Tried {
  Verified verified;
  std::size_t hypothesis = kNone;
};

class LoopCloser {
 public:
  LoopCloser(const TrackedPath& tracked, const RangeNoise& noise, const LoopClosureOptions& options, int threads)
      : tracked_(tracked),
        noise_(noise),
        options_(options),
        threads_(threads),
        chain_(chain_of(tracked, noise, options.parts)) {
    for (std::size_t i = 0; i < tracked.poses.size(); ++i) {
      Node node;
      node.scan = tracked.keyframes[i].scan;
      node.time_s = tracked.keyframes[i].time_s;
      node.pose = tracked.poses[i];
      closed_.graph.nodes.push_back(node);
    }
    closed_.graph.edges = tracked.edges;
    for (const MarkerPair& pair : marker_pairs(options.sightings, chain_.ways_m, {options.min_way_m})) {
      const std::size_t from = options.sightings[pair.earlier].node;
      const std::size_t to = options.sightings[pair.later].node;
      if (from != to && !is_forbidden(from, to)) marker_tries_.push_back({pair});
    }
  }

  /// One round; false where nothing new was accepted or taken back.
  bool round() {
    const bool first = tried_.empty();
    if (first) try_hints();
    try_markers();
    const std::vector<std::size_t> before = accepted_;
    verify_all(first && !options_.expected.empty() ? meetings() : propose());
    test_hypotheses();
    keep_consistent();
    if (accepted_ == before) return false;
    optimise_closed();
    if (withdraw_bent()) optimise_closed();
    return accepted_ != before;
  }

  ClosedGraph take() {
    for (const Tried& t : tried_) closed_.candidates.push_back(t.verified.candidate);
    warn_of_hints();
    return std::move(closed_);
  }

 private:
  std::vector<Proposal> propose() {
    std::vector<Proposal> proposals;
    const DriftTree tree(closed_.graph);
    double next_way = 0.0;
    double next_far_way = 0.0;
    for (std::size_t to = 0; to < chain_.ways_m.size(); ++to) {
      if (chain_.ways_m[to] < next_way) continue;
      next_way = chain_.ways_m[to] + options_.spacing_m;
      if (chain_.ways_m[to] < options_.min_way_m) continue;
      const std::vector<Eigen::Matrix3d> covariances = tree.covariances_from(to);
      propose_near(to, covariances, proposals);
      if (chain_.ways_m[to] < next_far_way) continue;
      next_far_way = chain_.ways_m[to] + options_.far_spacing_m;
      propose_far(to, covariances, proposals);
    }
    return proposals;
  }

  /// Of each later part, along its way, the nearest node of each earlier part by what is expected.
  std::vector<Proposal> meetings() {
    constexpr double kMeetingM = 1.5;
    std::vector<Proposal> proposals;
    double next_way = 0.0;
    for (std::size_t to = 0; to < chain_.ways_m.size(); ++to) {
      if (chain_.parts[to] == 0 || chain_.ways_m[to] < next_way) continue;
      next_way = chain_.ways_m[to] + options_.spacing_m;
      std::vector<std::size_t> nearest(chain_.parts[to], kNone);
      std::vector<double> nearest_m(chain_.parts[to], kMeetingM);
      for (std::size_t from = 0; from < to && chain_.parts[from] < chain_.parts[to]; ++from) {
        const double distance_m = (options_.expected[from].translation() - options_.expected[to].translation()).norm();
        if (distance_m >= nearest_m[chain_.parts[from]]) continue;
        nearest_m[chain_.parts[from]] = distance_m;
        nearest[chain_.parts[from]] = from;
      }
      for (const std::size_t from : nearest) {
        if (from != kNone && !is_forbidden(from, to)) proposals.push_back(meeting(from, to));
      }
    }
    return proposals;
  }

  Proposal meeting(std::size_t from, std::size_t to) {
    tried_pairs_.insert({from / 2, to});
    // Two finished maps laid on each other: a few centimetres where both are bent a little.
    const Eigen::Vector3d sd(0.08, 0.08, 0.02);
    return {from, to, between(options_.expected[from], options_.expected[to]), sd.cwiseAbs2().asDiagonal(), false};
  }

  bool is_near(const Eigen::Matrix3d& covariance) const {
    return position_sd_m(covariance) <= options_.near_sd_m && std::sqrt(covariance(2, 2)) <= options_.near_sd_rad;
  }

  double distance_m(std::size_t a, std::size_t b) const {
    const std::vector<Node>& nodes = closed_.graph.nodes;
    return (nodes[a].pose.translation() - nodes[b].pose.translation()).norm();
  }

  /// The nearest node of each earlier visit to where node `to` is, of the nearest visits.
  void propose_near(std::size_t to, const std::vector<Eigen::Matrix3d>& covariances, std::vector<Proposal>& proposals) {
    std::vector<std::pair<double, std::size_t>> visits;  // distance, node
    bool in_visit = false;
    for (std::size_t from = 0; from < to && chain_.ways_m[to] - chain_.ways_m[from] > options_.min_way_m; ++from) {
      const double distance = distance_m(from, to);
      const Eigen::Matrix3d& c = covariances[from];
      const bool within = is_near(c) && distance <= options_.max_distance_m + 2.0 * position_sd_m(c);
      if (within && !in_visit) visits.emplace_back(distance, from);
      if (within) visits.back() = std::min(visits.back(), {distance, from});
      in_visit = within;
    }
    std::sort(visits.begin(), visits.end());
    if (visits.size() > options_.near_most) visits.resize(options_.near_most);
    for (const auto& [distance, from] : visits) {
      if (is_forbidden(from, to) || !tried_pairs_.insert({from / 2, to}).second) continue;
      proposals.push_back(proposal(from, to, covariances, false));
    }
  }

  /// Of the places within the drift, where that spans rooms, those that look most alike.
  void propose_far(std::size_t to, const std::vector<Eigen::Matrix3d>& covariances, std::vector<Proposal>& proposals) {
    std::vector<std::pair<double, std::size_t>> alike;
    double next_way = 0.0;
    for (std::size_t from = 0; from < to && chain_.ways_m[to] - chain_.ways_m[from] > options_.min_way_m; ++from) {
      if (chain_.ways_m[from] < next_way) continue;
      next_way = chain_.ways_m[from] + options_.spacing_m;
      const Eigen::Matrix3d& c = covariances[from];
      if (is_near(c) || distance_m(from, to) > options_.max_distance_m + 4.0 * position_sd_m(c)) continue;
      if (is_forbidden(from, to) || chain_.parts[from] != chain_.parts[to])
        continue;  // parts were laid on one another whole
      const double likeness = signature(from).likeness(signature(to));
      if (likeness >= options_.least_likeness) alike.emplace_back(-likeness, from);
    }
    std::sort(alike.begin(), alike.end());
    std::vector<std::size_t> chosen;
    for (const auto& candidate : alike) {
      const std::size_t from = candidate.second;
      if (chosen.size() == options_.far_most) return;
      const bool beside = std::any_of(chosen.begin(), chosen.end(), [&](std::size_t other) {
        return std::abs(chain_.ways_m[other] - chain_.ways_m[from]) < options_.far_spacing_m;
      });
      if (beside) continue;
      chosen.push_back(from);
      if (tried_far_.insert({from, to}).second) proposals.push_back(proposal(from, to, covariances, true));
    }
  }

  const Signature& signature(std::size_t node) {
    if (signatures_.empty()) signatures_.resize(chain_.ways_m.size());
    if (!signatures_[node]) {
      signatures_[node] = place_signature(chain_.seen(), node);
    }
    return *signatures_[node];
  }

  Proposal proposal(std::size_t from, std::size_t to, const std::vector<Eigen::Matrix3d>& covariances,
                    bool anywhere) const {
    const std::vector<Node>& nodes = closed_.graph.nodes;
    // The covariance is of `from` seen from `to`; carried over to `to` seen from `from`.
    const Eigen::Matrix3d carry = adjoint(between(nodes[to].pose, nodes[from].pose));
    return {from, to, between(nodes[from].pose, nodes[to].pose), carry * covariances[from] * carry.transpose(),
            anywhere};
  }

  void verify_all(const std::vector<Proposal>& proposals) {
    constexpr std::size_t kBatch = 256;  // places are large
    for (std::size_t begin = 0; begin < proposals.size(); begin += kBatch) {
      const std::size_t end = std::min(begin + kBatch, proposals.size());
      verify_batch({proposals.begin() + static_cast<std::ptrdiff_t>(begin),
                    proposals.begin() + static_cast<std::ptrdiff_t>(end)});
    }
  }

  void verify_batch(const std::vector<Proposal>& proposals) {
    std::set<std::size_t> needed;
    for (const Proposal& p : proposals) needed.insert({p.from, p.to});
    const std::vector<std::size_t> list(needed.begin(), needed.end());
    std::vector<Pose2> poses;
    for (const Node& node : closed_.graph.nodes) poses.push_back(node.pose);
    std::vector<std::unique_ptr<Place>> places(poses.size());
    for_each_index(list.size(), threads_, [&](std::size_t i) {
      places[list[i]] = std::make_unique<Place>(SeenPath{tracked_.keyframes, poses, chain_.ways_m, noise_}, list[i]);
    });
    std::vector<Verified> verified(proposals.size());
    for_each_index(proposals.size(), threads_, [&](std::size_t i) {
      const Proposal& p = proposals[i];
      verified[i] = p.anywhere ? verify_anywhere(*places[p.from], *places[p.to], p.predicted, p.covariance, noise_)
                               : verify(*places[p.from], *places[p.to], p.predicted, p.covariance, noise_);
    });
    for (std::size_t i = 0; i < proposals.size(); ++i) {
      const bool seed = proposals[i].anywhere && verified[i].fit == Fit::fits;
      if (seed) seeds_.push_back({tried_.size(), position_sd_m(proposals[i].covariance)});
      tried_.push_back({verified[i], kNone});
    }
  }

  /// Pairs that fit where the drift spans rooms become hypotheses, unless one that says the same is there already.
  void test_hypotheses() {
    std::stable_sort(seeds_.begin(), seeds_.end(), [this](const Seed& a, const Seed& b) {
      return tried_[a.tried].verified.candidate.overlap > tried_[b.tried].verified.candidate.overlap;
    });
    for (const Seed& seed : seeds_) {
      const Verified verified = tried_[seed.tried].verified;
      std::size_t which = 0;
      while (which < hypotheses_.size() && !explains(hypotheses_[which], verified, chain_)) ++which;
      tried_[seed.tried].hypothesis = which;
      if (which < hypotheses_.size()) continue;
      hypotheses_.push_back(tested(verified, seed.sd_m, chain_));
      for (std::size_t i = 1; i < hypotheses_.back().fits.size(); ++i) {
        const Verified& fit = hypotheses_.back().fits[i];
        if (is_forbidden(fit.candidate.from, fit.candidate.to)) continue;
        tried_pairs_.insert({fit.candidate.from / 2, fit.candidate.to});
        tried_.push_back({fit, which});
      }
    }
    seeds_.clear();
  }

  /// What was tried later near a hypothesis speaks for or against it: a wrong one puts rooms where others were seen.
  void weigh_later_evidence(std::vector<std::optional<std::string>>& doubt) const {
    constexpr double kAroundM = 25.0;
    for (std::size_t h = 0; h < hypotheses_.size(); ++h) {
      const LoopCandidate& seed = hypotheses_[h].seed.candidate;
      std::size_t fits = hypotheses_[h].fits.size();
      std::size_t against = hypotheses_[h].against;
      for (const Tried& t : tried_) {
        const LoopCandidate& c = t.verified.candidate;
        if (t.hypothesis != kNone || std::abs(chain_.ways_m[c.to] - chain_.ways_m[seed.to]) > kAroundM ||
            std::abs(chain_.ways_m[c.from] - chain_.ways_m[seed.from]) > kAroundM) {
          continue;
        }
        const Verified& v = t.verified;
        if (v.fit == Fit::fits && closures_agree(v, hypotheses_[h].seed, chain_.drift)) ++fits;
        if (v.fit == Fit::contradicts && was_accepted(h)) ++against;
      }
      if (2 * against > fits && !doubt[h]) doubt[h] = "what was seen later contradicts it";
    }
  }

  bool was_accepted(std::size_t hypothesis) const {
    return std::any_of(accepted_.begin(), accepted_.end(),
                       [&](std::size_t i) { return tried_[i].hypothesis == hypothesis; });
  }

  void keep_consistent() {
    std::vector<std::optional<std::string>> doubt = doubts(hypotheses_, chain_);
    weigh_later_evidence(doubt);
    std::vector<std::size_t> fitting;  // indices into tried_
    std::vector<Verified> closures;
    for (std::size_t i = 0; i < tried_.size(); ++i) {
      Tried& t = tried_[i];
      if (t.verified.fit != Fit::fits) continue;
      t.verified.candidate.verdict = Verdict::rejected;
      t.verified.candidate.reason = "does not agree with the other closures";
      if (t.verified.hinted)
        t.verified.candidate.reason = kHintBut + std::string("it does not agree with the closures");
      if (!t.verified.marker.empty()) {
        t.verified.candidate.reason = but_marker(t.verified, "this does not agree with the other closures");
      }
      if (t.hypothesis != kNone && doubt[t.hypothesis]) {
        t.verified.candidate.reason = *doubt[t.hypothesis];
        continue;
      }
      fitting.push_back(i);
      closures.push_back(t.verified);
    }
    accepted_.clear();
    for (std::size_t i : largest_consistent_set(closures, chain_.drift)) accept(fitting[i]);
  }

  void accept(std::size_t i) {
    LoopCandidate& candidate = tried_[i].verified.candidate;
    candidate.verdict = Verdict::accepted;
    candidate.reason = "walls coincide, free space agrees, and the closures agree with one another";
    if (tried_[i].hypothesis != kNone) candidate.reason += "; so do the places before and behind";
    if (tried_[i].verified.hinted) candidate.reason = "a hint says so, and the walls do not contradict it";
    if (!tried_[i].verified.marker.empty()) {
      candidate.reason = "marker " + tried_[i].verified.marker + " was seen at both times, " +
                         (tried_[i].verified.by_marker_alone ? "the walls do not contradict it"
                                                             : "walls coincide, free space agrees") +
                         ", and the closures agree with one another";
    }
    accepted_.push_back(i);
  }

  void optimise_closed() {
    PoseGraph& graph = closed_.graph;
    graph.edges = tracked_.edges;
    bool far = !options_.parts.empty();
    for (std::size_t i : accepted_) {
      const Verified& v = tried_[i].verified;
      far = far || tried_[i].hypothesis != kNone || v.hinted || !v.marker.empty();
      graph.edges.push_back({EdgeKind::closure, v.candidate.from, v.candidate.to, v.candidate.found, v.information});
    }
    if (far) begin_from_tree(graph);
    const OptimiserSummary summary = optimise(graph);
    if (summary.cost_by_iteration.empty()) return;
    if (closed_.cost_before == 0.0) closed_.cost_before = summary.cost_by_iteration.front();
    closed_.cost_after = summary.cost_by_iteration.back();
  }

  /// Where closures bend the graph far, the optimiser begins near the solution: poses along the tree of the surest
  /// edges, then without a loss that would take the bend for a mistake.
  void begin_from_tree(PoseGraph& graph) const {
    for (std::size_t i = 0; i < graph.nodes.size(); ++i) graph.nodes[i].pose = tracked_.poses[i];
    const std::vector<Pose2> poses = tree_poses(graph, 0);
    for (std::size_t i = 0; i < graph.nodes.size(); ++i) graph.nodes[i].pose = poses[i];
    OptimiserOptions plain;
    plain.closure_robust_ratio = 0.0;
    optimise(graph, plain);
  }

  /// Takes back closures that the optimised graph does not reach: what they say is not what all the others say.
  bool withdraw_bent() {
    constexpr double kModelM = 0.03;  // rooms bend a little: range biases, scale
    constexpr double kModelRad = 0.015;
    const std::vector<Node>& nodes = closed_.graph.nodes;
    std::vector<std::size_t> kept;
    for (std::size_t i : accepted_) {
      LoopCandidate& candidate = tried_[i].verified.candidate;
      Edge edge;
      edge.information = tried_[i].verified.information;
      Eigen::Matrix3d covariance = edge_covariance(edge);
      covariance.diagonal() += Eigen::Vector3d(kModelM * kModelM, kModelM * kModelM, kModelRad * kModelRad);
      Pose2 error = between(candidate.found, between(nodes[candidate.from].pose, nodes[candidate.to].pose));
      error.heading_rad = wrap_angle(error.heading_rad);
      const Tangent2 residual = log(error);
      if (residual.dot(covariance.ldlt().solve(residual)) <= kPoseGate) {
        kept.push_back(i);
        continue;
      }
      candidate.verdict = Verdict::rejected;
      candidate.reason = "the graph cannot be bent so far: the rest of the drive speaks against it";
      if (tried_[i].verified.hinted) candidate.reason = kHintBut + candidate.reason;
      if (!tried_[i].verified.marker.empty()) {
        candidate.reason = but_marker(tried_[i].verified, candidate.reason);
      }
    }
    const bool any = kept.size() < accepted_.size();
    accepted_ = std::move(kept);
    return any;
  }

  std::size_t node_at(double time_s) const {
    const std::vector<Keyframe>& k = tracked_.keyframes;
    const auto after =
        std::lower_bound(k.begin(), k.end(), time_s, [](const Keyframe& a, double t) { return a.time_s < t; });
    if (after == k.begin()) return 0;
    if (after == k.end()) return k.size() - 1;
    const auto i = static_cast<std::size_t>(after - k.begin());
    return time_s - k[i - 1].time_s < k[i].time_s - time_s ? i - 1 : i;
  }

  bool is_forbidden(std::size_t from, std::size_t to) const {
    const auto beside = [this](std::size_t node, double time_s) {
      return std::abs(chain_.ways_m[node] - chain_.ways_m[node_at(time_s)]) <= options_.hint_way_m;
    };
    return std::any_of(options_.hints.begin(), options_.hints.end(), [&](const Hint& hint) {
      return !hint.same_place && ((beside(from, hint.time_1_s) && beside(to, hint.time_2_s)) ||
                                  (beside(from, hint.time_2_s) && beside(to, hint.time_1_s)));
    });
  }

  void try_hints() {
    for (std::size_t h = 0; h < options_.hints.size(); ++h) {
      if (!options_.hints[h].same_place) continue;
      const std::size_t a = node_at(options_.hints[h].time_1_s);
      const std::size_t b = node_at(options_.hints[h].time_2_s);
      if (a == b) continue;
      Verified verified = verify_hint(std::min(a, b), std::max(a, b));
      verified.hinted = true;
      if (verified.fit != Fit::fits) {
        verified.candidate.reason = kHintBut + verified.candidate.reason;
      }
      hinted_.emplace_back(h, tried_.size());
      tried_.push_back({verified, kNone});
    }
  }

  /// The driver vouches for the place, not for the metre.
  Verified verify_hint(std::size_t from, std::size_t to) const {
    constexpr double kSamePlaceM = 0.7;
    const Place earlier(chain_.seen(), from);
    const Place later(chain_.seen(), to);
    const Eigen::Matrix3d anyhow =
        Eigen::Vector3d(kSamePlaceM * kSamePlaceM, kSamePlaceM * kSamePlaceM, std::numbers::pi * std::numbers::pi)
            .asDiagonal();
    Verified found = verify_anywhere(earlier, later, Pose2{}, anyhow, noise_);
    if (found.fit != Fit::open) return found;
    // The walls leave a direction open, or the two nodes look different ways: near each other, then.
    constexpr double kTurnErrorRad = 0.1;
    Eigen::Matrix3d here = anyhow;
    here(2, 2) = kTurnErrorRad * kTurnErrorRad;
    VerificationOptions vouched;
    vouched.settled_by_walls = false;
    Verified best = found;
    for (const double turn : earlier.signature().turns_to(later.signature(), 4)) {
      Verified verified = verify(earlier, later, {0.0, 0.0, turn}, here, noise_, vouched);
      verified.information += here.inverse();
      if (verified.fit != Fit::fits) continue;
      if (best.fit != Fit::fits || verified.candidate.overlap > best.candidate.overlap) best = verified;
    }
    return best;
  }

  /// Markers seen again, each pair until the walls or, once the drift is small, the marker itself has settled it.
  void try_markers() {
    if (marker_tries_.empty()) return;
    const DriftTree tree(closed_.graph);
    for (MarkerTry& attempt : marker_tries_) {
      if (attempt.settled) continue;
      const NodeSighting& earlier = options_.sightings[attempt.pair.earlier];
      const NodeSighting& later = options_.sightings[attempt.pair.later];
      const std::vector<Node>& nodes = closed_.graph.nodes;
      // As in proposal().
      const Eigen::Matrix3d carry = adjoint(between(nodes[later.node].pose, nodes[earlier.node].pose));
      const Eigen::Matrix3d covariance = carry * tree.covariances_from(later.node)[earlier.node] * carry.transpose();
      Verified verified = verify_marker(earlier, later, covariance);
      attempt.settled = verified.fit != Fit::open;
      verified.marker = options_.markers[earlier.marker];
      if (verified.fit != Fit::fits) verified.candidate.reason = but_marker(verified, verified.candidate.reason);
      if (attempt.tried == kNone) {
        attempt.tried = tried_.size();
        tried_.push_back({verified, kNone});
      } else {
        tried_[attempt.tried].verified = verified;
      }
    }
  }

  Verified verify_marker(const NodeSighting& earlier, const NodeSighting& later,
                         const Eigen::Matrix3d& covariance) const {
    constexpr double kBelieved = 0.999;
    const std::vector<Node>& nodes = closed_.graph.nodes;
    const Pose2 predicted = between(nodes[earlier.node].pose, nodes[later.node].pose);
    const std::optional<MarkerWord> word = word_of_marker(earlier, later, predicted, covariance);
    Verified verified;
    verified.candidate.from = earlier.node;
    verified.candidate.to = later.node;
    verified.candidate.found = predicted;
    if (word && word->chi_squared > chi_squared_quantile(kBelieved, word->degrees)) {
      verified.fit = Fit::contradicts;
      verified.candidate.reason = "not at places that the drift allows to be one: a misread number, or it was moved";
      verified.candidate.found = word->pose;
    } else if (word) {
      verified = with_walls(earlier.node, later.node, *word);
      if (verified.fit == Fit::open) vouch(*word, is_near(covariance), verified);
    } else {
      verified = with_walls_anyhow(earlier, later);
    }
    verified.candidate.predicted = predicted;
    if (word) verified.candidate.chi_squared = word->chi_squared;
    return verified;
  }

  Verified with_walls(std::size_t from, std::size_t to, const MarkerWord& word) const {
    return verify(Place(chain_.seen(), from), Place(chain_.seen(), to), word.pose, word.covariance, noise_);
  }

  /// Without the marker's heading and with nothing known of the robot's: in all headings in which the walls are
  /// parallel.
  Verified with_walls_anyhow(const NodeSighting& earlier, const NodeSighting& later) const {
    constexpr double kTurnErrorRad = 0.1;
    const auto signature_of = [&](std::size_t node) { return place_signature(chain_.seen(), node); };
    Verified best;
    best.candidate.from = earlier.node;
    best.candidate.to = later.node;
    best.candidate.reason = "the walls do not tell which way the robot looked";
    for (const double turn : signature_of(earlier.node).turns_to(signature_of(later.node), 4)) {
      const Verified verified =
          with_walls(earlier.node, later.node, word_with_turn(earlier, later, turn, kTurnErrorRad));
      if (verified.fit != Fit::fits) continue;
      if (best.fit != Fit::fits || verified.candidate.overlap > best.candidate.overlap) best = verified;
    }
    return best;
  }

  /// Where the walls say nothing (a bare corridor, seen from the other side), the marker's word holds if the drift is
  /// small enough that a misread number would have been noticed.
  static void vouch(const MarkerWord& word, bool near, Verified& verified) {
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

  static std::string but_marker(const Verified& verified, const std::string& what) {
    return "marker " + verified.marker + " was seen at both times, but " + what;
  }

  void warn_of_hints() {
    for (const auto& [hint, tried] : hinted_) {
      const LoopCandidate& candidate = tried_[tried].verified.candidate;
      if (candidate.verdict == Verdict::accepted) continue;
      closed_.warnings.push_back(
          sentence("hints.csv says that the robot was at the same place at %.1f and %.1f s, but the map was made "
                   "without it (%s): check both times",
                   options_.hints[hint].time_1_s, options_.hints[hint].time_2_s, candidate.reason.c_str()));
    }
  }

  struct MarkerTry {
    MarkerPair pair;
    std::size_t tried = kNone;  ///< index into tried_
    bool settled = false;
  };

  struct Seed {
    std::size_t tried;  ///< index into tried_
    double sd_m;
  };

  const TrackedPath& tracked_;
  RangeNoise noise_;
  LoopClosureOptions options_;
  int threads_;
  Chain chain_;
  ClosedGraph closed_;
  std::vector<Tried> tried_;
  std::vector<std::size_t> accepted_;  // indices into tried_, ascending
  std::vector<Seed> seeds_;            // of this round
  std::vector<Hypothesis> hypotheses_;
  std::vector<MarkerTry> marker_tries_;
  std::vector<std::optional<Signature>> signatures_;           // by node, made when needed
  std::vector<std::pair<std::size_t, std::size_t>> hinted_;    // hint and its index in tried_
  std::set<std::pair<std::size_t, std::size_t>> tried_pairs_;  // half the earlier node's index, the later node's
  std::set<std::pair<std::size_t, std::size_t>> tried_far_;
};

}  // namespace

ClosedGraph close_loops(const TrackedPath& tracked, const RangeNoise& noise, const LoopClosureOptions& options,
                        int threads, const std::function<void(double)>& progress) {
  LoopCloser closer(tracked, noise, options, threads);
  const int most_rounds = options.most_rounds + (options.expected.empty() ? 0 : 1);  // the first: the parts' meetings
  for (int round = 0; round < most_rounds && closer.round(); ++round) {
    if (progress) progress(static_cast<double>(round + 1) / most_rounds);
  }
  return closer.take();
}

}  // namespace wainscot
