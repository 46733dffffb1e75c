#include "graph/close/consistency.hpp"

#include <algorithm>
#include <bit>
#include <cstdint>
#include <numeric>
#include <tuple>
#include <utility>

#include <Eigen/Dense>

namespace wainscot {
namespace {

/// One bit for each closure.
class Bits {
 public:
  explicit Bits(std::size_t count) : words_((count + 63) / 64, 0) {}
  void set(std::size_t i) { words_[i / 64] |= std::uint64_t{1} << (i % 64); }
  bool operator[](std::size_t i) const { return (words_[i / 64] >> (i % 64) & 1U) != 0; }
  std::size_t count() const {
    std::size_t sum = 0;
    for (const std::uint64_t word : words_) sum += static_cast<std::size_t>(std::popcount(word));
    return sum;
  }
  void keep_common(const Bits& other) {
    for (std::size_t w = 0; w < words_.size(); ++w) words_[w] &= other.words_[w];
  }

 private:
  std::vector<std::uint64_t> words_;
};

/// Greedy cliques, grown from the closures that agree with most others, taking the others in that order. Exact maximum
/// cliques are exponential in the worst case; among the closures of one house the true ones agree with nearly all.
/// Closures that a person vouches for come first.
class Cliques {
 public:
  Cliques(std::vector<Bits> agree, const std::vector<Verified>& closures)
      : agree_(std::move(agree)), closures_(closures), order_(agree_.size()) {
    std::vector<std::size_t> friends;
    for (const Bits& row : agree_) friends.push_back(row.count());
    std::iota(order_.begin(), order_.end(), std::size_t{0});
    std::stable_sort(order_.begin(), order_.end(), [&](std::size_t a, std::size_t b) {
      if (closures_[a].hinted != closures_[b].hinted) return closures_[a].hinted;
      return friends[a] > friends[b];
    });
  }

  std::vector<std::size_t> largest() const {
    constexpr std::size_t kMostSeeds = 60;  // enough for groups of false closures to be outgrown by a true one
    std::vector<std::size_t> best;
    Worth best_worth;
    const std::size_t stride = std::max<std::size_t>(1, order_.size() / kMostSeeds);
    for (std::size_t i = 0; i < order_.size(); i += stride) {
      const std::vector<std::size_t> clique = grown_from(order_[i]);
      const Worth worth = worth_of(clique);
      if (best_worth < worth) {
        best = clique;
        best_worth = worth;
      }
    }
    std::sort(best.begin(), best.end());
    return best;
  }

 private:
  using Worth = std::tuple<std::size_t, std::size_t, double>;  ///< hinted ones, all, sum of overlaps

  Worth worth_of(const std::vector<std::size_t>& clique) const {
    Worth worth{0, clique.size(), 0.0};
    for (const std::size_t i : clique) {
      std::get<0>(worth) += closures_[i].hinted ? 1 : 0;
      std::get<2>(worth) += closures_[i].candidate.overlap;
    }
    return worth;
  }

  std::vector<std::size_t> grown_from(std::size_t seed) const {
    std::vector<std::size_t> clique{seed};
    Bits allowed = agree_[seed];
    for (const std::size_t candidate : order_) {
      if (candidate == seed || !allowed[candidate]) continue;
      clique.push_back(candidate);
      allowed.keep_common(agree_[candidate]);
    }
    return clique;
  }

  std::vector<Bits> agree_;
  const std::vector<Verified>& closures_;
  std::vector<std::size_t> order_;
};

/// See `closures_agree`; the covariances are the closures' own.
bool agree(const LoopCandidate& first, const Eigen::Matrix3d& first_covariance, const LoopCandidate& second,
           const Eigen::Matrix3d& second_covariance, const ChainDrift& drift, const ConsistencyOptions& options) {
  const std::vector<Pose2>& poses = drift.poses();
  // Once around: back over the first closure, along the chain, over the second closure, back along the chain.
  const Pose2 there = between(poses[first.from], poses[second.from]);
  const Pose2 back = between(poses[second.to], poses[first.to]);
  Pose2 loop = inverse(first.found) * there * second.found * back;
  loop.heading_rad = wrap_angle(loop.heading_rad);
  const Tangent2 error = log(loop);
  const Eigen::Matrix3d covariance = first_covariance +
                                     carried(drift.between_nodes(first.from, second.from), second.found * back) +
                                     carried(second_covariance, back) + drift.between_nodes(second.to, first.to);
  return error.dot(covariance.ldlt().solve(error)) <= options.max_chi_squared;
}

}  // namespace

Eigen::Matrix3d closure_covariance(const Verified& closure) {
  Edge edge;
  edge.information = closure.information;
  return edge_covariance(edge);
}

bool closures_agree(const Verified& a, const Verified& b, const ChainDrift& drift, const ConsistencyOptions& options) {
  return agree(a.candidate, closure_covariance(a), b.candidate, closure_covariance(b), drift, options);
}

std::vector<std::size_t> largest_consistent_set(const std::vector<Verified>& closures, const ChainDrift& drift,
                                                const ConsistencyOptions& options) {
  const std::size_t count = closures.size();
  std::vector<Eigen::Matrix3d> covariances;
  for (const Verified& closure : closures) covariances.push_back(closure_covariance(closure));
  std::vector<Bits> agrees(count, Bits(count));
  for (std::size_t i = 0; i < count; ++i) {
    for (std::size_t j = 0; j < i; ++j) {
      if (!agree(closures[i].candidate, covariances[i], closures[j].candidate, covariances[j], drift, options)) {
        continue;
      }
      agrees[i].set(j);
      agrees[j].set(i);
    }
  }
  return Cliques(std::move(agrees), closures).largest();
}

}  // namespace wainscot
