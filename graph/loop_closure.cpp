#include "graph/loop_closure.hpp"

#include <algorithm>
#include <cmath>
#include <memory>
#include <optional>
#include <set>
#include <utility>

#include <Eigen/Dense>

#include "graph/consistency.hpp"
#include "graph/drift.hpp"
#include "graph/optimiser.hpp"
#include "graph/parallel.hpp"
#include "graph/place.hpp"

namespace wainscot {
namespace {

struct Proposal {
  std::size_t from = 0;
  std::size_t to = 0;
  Pose2 predicted;
  Eigen::Matrix3d covariance;  // tangent space of `to`
};

class LoopCloser {
 public:
  LoopCloser(const TrackedPath& tracked, const RangeNoise& noise, const LoopClosureOptions& options, int threads)
      : tracked_(tracked), noise_(noise), options_(options), threads_(threads), drift_(tracked.poses, tracked.edges) {
    double way = 0.0;
    for (std::size_t i = 0; i < tracked.poses.size(); ++i) {
      if (i > 0) way += (tracked.poses[i].translation() - tracked.poses[i - 1].translation()).norm();
      ways_m_.push_back(way);
      Node node;
      node.scan = tracked.keyframes[i].scan;
      node.time_s = tracked.keyframes[i].time_s;
      node.pose = tracked.poses[i];
      closed_.graph.nodes.push_back(node);
    }
    closed_.graph.edges = tracked.edges;
  }

  /// One round; false where nothing new was accepted.
  bool round() {
    const std::vector<Proposal> proposals = propose();
    if (proposals.empty()) return false;
    const std::size_t before = accepted_.size();
    verify_all(proposals);
    keep_consistent();
    if (accepted_.size() == before) return false;
    optimise_closed();
    return true;
  }

  ClosedGraph take() {
    for (const Verified& v : tried_) closed_.candidates.push_back(v.candidate);
    return std::move(closed_);
  }

 private:
  std::vector<Proposal> propose() {
    std::vector<Proposal> proposals;
    double next_way = 0.0;
    for (std::size_t to = 0; to < ways_m_.size(); ++to) {
      if (ways_m_[to] < next_way) continue;
      next_way = ways_m_[to] + options_.spacing_m;
      if (ways_m_[to] < options_.min_way_m) continue;
      propose_for(to, proposals);
    }
    return proposals;
  }

  /// The nearest node of each earlier visit to where node `to` may be.
  void propose_for(std::size_t to, std::vector<Proposal>& proposals) {
    const std::vector<Node>& nodes = closed_.graph.nodes;
    const std::vector<Eigen::Matrix3d> covariances = tree_covariances(closed_.graph, to);
    std::optional<std::size_t> best;
    double best_distance = 0.0;
    const auto flush = [&] {
      if (best && tried_pairs_.insert({*best / 2, to}).second) proposals.push_back(proposal(*best, to, covariances));
      best.reset();
    };
    for (std::size_t from = 0; from < to && ways_m_[to] - ways_m_[from] > options_.min_way_m; ++from) {
      const double distance = (nodes[from].pose.translation() - nodes[to].pose.translation()).norm();
      const Eigen::Matrix3d& c = covariances[from];
      const double reach = options_.max_distance_m + 2.0 * std::sqrt(std::max(c(0, 0), c(1, 1)));
      if (distance > reach) {
        flush();
      } else if (!best || distance < best_distance) {
        best = from;
        best_distance = distance;
      }
    }
    flush();
  }

  Proposal proposal(std::size_t from, std::size_t to, const std::vector<Eigen::Matrix3d>& covariances) const {
    const std::vector<Node>& nodes = closed_.graph.nodes;
    // The covariance is of `from` seen from `to`; carried over to `to` seen from `from`.
    const Eigen::Matrix3d carry = adjoint(between(nodes[to].pose, nodes[from].pose));
    return {from, to, between(nodes[from].pose, nodes[to].pose), carry * covariances[from] * carry.transpose()};
  }

  void verify_all(const std::vector<Proposal>& proposals) {
    std::set<std::size_t> needed;
    for (const Proposal& p : proposals) needed.insert({p.from, p.to});
    const std::vector<std::size_t> list(needed.begin(), needed.end());
    std::vector<Pose2> poses;
    for (const Node& node : closed_.graph.nodes) poses.push_back(node.pose);
    std::vector<std::unique_ptr<Place>> places(poses.size());
    for_each_index(list.size(), threads_, [&](std::size_t i) {
      places[list[i]] = std::make_unique<Place>(tracked_.keyframes, poses, ways_m_, list[i], noise_);
    });
    std::vector<Verified> verified(proposals.size());
    for_each_index(proposals.size(), threads_, [&](std::size_t i) {
      const Proposal& p = proposals[i];
      verified[i] = verify(*places[p.from], *places[p.to], p.predicted, p.covariance, noise_);
    });
    tried_.insert(tried_.end(), verified.begin(), verified.end());
  }

  void keep_consistent() {
    std::vector<std::size_t> fitting;  // indices into tried_
    std::vector<Verified> closures;
    for (std::size_t i = 0; i < tried_.size(); ++i) {
      if (tried_[i].candidate.verdict == Verdict::rejected && !withdrawn_.contains(i)) continue;
      fitting.push_back(i);
      closures.push_back(tried_[i]);
    }
    const std::vector<std::size_t> kept = largest_consistent_set(closures, tracked_.poses, drift_);
    accepted_.clear();
    withdrawn_.clear();
    for (std::size_t i : kept) accepted_.push_back(fitting[i]);
    for (std::size_t i : fitting) {
      LoopCandidate& candidate = tried_[i].candidate;
      const bool keep = std::binary_search(accepted_.begin(), accepted_.end(), i);
      candidate.verdict = keep ? Verdict::accepted : Verdict::rejected;
      candidate.reason = keep ? "walls coincide, free space agrees, and the closures agree with one another"
                              : "does not agree with the other closures";
      if (!keep) withdrawn_.insert(i);
    }
  }

  void optimise_closed() {
    PoseGraph& graph = closed_.graph;
    graph.edges = tracked_.edges;
    for (std::size_t i : accepted_) {
      const Verified& v = tried_[i];
      Edge edge{EdgeKind::closure, v.candidate.from, v.candidate.to, v.candidate.found, v.information};
      graph.edges.push_back(edge);
    }
    const OptimiserSummary summary = optimise(graph);
    if (summary.cost_by_iteration.empty()) return;
    if (closed_.cost_before == 0.0) closed_.cost_before = summary.cost_by_iteration.front();
    closed_.cost_after = summary.cost_by_iteration.back();
  }

  const TrackedPath& tracked_;
  RangeNoise noise_;
  LoopClosureOptions options_;
  int threads_;
  ChainDrift drift_;
  std::vector<double> ways_m_;
  ClosedGraph closed_;
  std::vector<Verified> tried_;
  std::vector<std::size_t> accepted_;  // indices into tried_, ascending
  std::set<std::size_t> withdrawn_;    // passed geometry, but not consistent with the others so far
  std::set<std::pair<std::size_t, std::size_t>> tried_pairs_;
};

}  // namespace

ClosedGraph close_loops(const TrackedPath& tracked, const RangeNoise& noise, const LoopClosureOptions& options,
                        int threads, const std::function<void(double)>& progress) {
  LoopCloser closer(tracked, noise, options, threads);
  for (int round = 0; round < options.most_rounds && closer.round(); ++round) {
    if (progress) progress(static_cast<double>(round + 1) / options.most_rounds);
  }
  return closer.take();
}

}  // namespace wainscot
