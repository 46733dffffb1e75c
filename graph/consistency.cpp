#include "graph/consistency.hpp"

#include <algorithm>
#include <numeric>

#include <Eigen/Dense>

namespace wainscot {
namespace {

Eigen::Matrix3d carried(const Eigen::Matrix3d& covariance, const Pose2& relative) {
  const Eigen::Matrix3d carry = adjoint(inverse(relative));
  return carry * covariance * carry.transpose();
}

Eigen::Matrix3d closure_covariance(const Verified& closure) {
  Edge edge;
  edge.information = closure.information;
  return edge_covariance(edge);
}

bool agree(const Verified& a, const Verified& b, const std::vector<Pose2>& poses, const ChainDrift& drift,
           double max_chi_squared) {
  const LoopCandidate& first = a.candidate;
  const LoopCandidate& second = b.candidate;
  // Once around: back over the first closure, along the chain, over the second closure, back along the chain.
  const Pose2 there = between(poses[first.from], poses[second.from]);
  const Pose2 back = between(poses[second.to], poses[first.to]);
  Pose2 loop = inverse(first.found) * there * second.found * back;
  loop.heading_rad = wrap_angle(loop.heading_rad);
  const Tangent2 error = log(loop);
  const Eigen::Matrix3d covariance = closure_covariance(a) +
                                     carried(drift.between_nodes(first.from, second.from), second.found * back) +
                                     carried(closure_covariance(b), back) + drift.between_nodes(second.to, first.to);
  return error.dot(covariance.ldlt().solve(error)) <= max_chi_squared;
}

/// Greedy cliques, one grown from each closure, taking the others in the order of how many they agree with. Exact
/// maximum cliques are exponential in the worst case; among the closures of one house the true ones agree with nearly
/// all.
class Cliques {
 public:
  Cliques(std::vector<std::vector<bool>> agree, std::vector<double> worth)
      : agree_(std::move(agree)), worth_(std::move(worth)), order_(agree_.size()) {
    std::vector<std::ptrdiff_t> friends;
    for (const auto& row : agree_) friends.push_back(std::count(row.begin(), row.end(), true));
    std::iota(order_.begin(), order_.end(), std::size_t{0});
    std::stable_sort(order_.begin(), order_.end(),
                     [&](std::size_t a, std::size_t b) { return friends[a] > friends[b]; });
  }

  std::vector<std::size_t> largest() const {
    std::vector<std::size_t> best;
    double best_worth = 0.0;
    for (std::size_t seed = 0; seed < agree_.size(); ++seed) {
      const std::vector<std::size_t> clique = grown_from(seed);
      const double worth = std::accumulate(clique.begin(), clique.end(), 0.0,
                                           [this](double sum, std::size_t i) { return sum + worth_[i]; });
      if (clique.size() > best.size() || (clique.size() == best.size() && worth > best_worth)) {
        best = clique;
        best_worth = worth;
      }
    }
    std::sort(best.begin(), best.end());
    return best;
  }

 private:
  std::vector<std::size_t> grown_from(std::size_t seed) const {
    std::vector<std::size_t> clique{seed};
    for (std::size_t candidate : order_) {
      if (candidate == seed) continue;
      const bool agrees_with_all =
          std::all_of(clique.begin(), clique.end(), [&](std::size_t member) { return agree_[candidate][member]; });
      if (agrees_with_all) clique.push_back(candidate);
    }
    return clique;
  }

  std::vector<std::vector<bool>> agree_;
  std::vector<double> worth_;
  std::vector<std::size_t> order_;
};

}  // namespace

std::vector<std::size_t> largest_consistent_set(const std::vector<Verified>& closures, const std::vector<Pose2>& poses,
                                                const ChainDrift& drift, const ConsistencyOptions& options) {
  const std::size_t count = closures.size();
  std::vector<std::vector<bool>> agrees(count, std::vector<bool>(count, false));
  std::vector<double> worth;
  for (std::size_t i = 0; i < count; ++i) {
    worth.push_back(closures[i].candidate.overlap);
    for (std::size_t j = 0; j < i; ++j) {
      agrees[i][j] = agrees[j][i] = agree(closures[i], closures[j], poses, drift, options.max_chi_squared);
    }
  }
  return Cliques(std::move(agrees), std::move(worth)).largest();
}

}  // namespace wainscot
