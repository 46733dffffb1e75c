#include "graph/close/proposal.hpp"

#include <algorithm>
#include <memory>
#include <set>
#include <span>

#include "graph/parallel.hpp"

namespace wainscot {
namespace {

std::vector<Verified> verify_batch(std::span<const Proposal> proposals, const SeenPath& path, int threads) {
  std::set<std::size_t> needed;
  for (const Proposal& p : proposals) needed.insert({p.from, p.to});
  const std::vector<std::size_t> list(needed.begin(), needed.end());
  std::vector<std::unique_ptr<Place>> places(path.poses.size());
  for_each_index(list.size(), threads,
                 [&](std::size_t i) { places[list[i]] = std::make_unique<Place>(path, list[i]); });
  std::vector<Verified> verified(proposals.size());
  for_each_index(proposals.size(), threads, [&](std::size_t i) {
    const Proposal& p = proposals[i];
    verified[i] = p.anywhere ? verify_anywhere(*places[p.from], *places[p.to], p.predicted, p.covariance, path.noise)
                             : verify(*places[p.from], *places[p.to], p.predicted, p.covariance, path.noise);
  });
  return verified;
}

}  // namespace

Proposal proposed(const std::vector<Node>& nodes, const std::vector<Eigen::Matrix3d>& covariances, std::size_t from,
                  std::size_t to) {
  // The covariance is of `from` seen from `to`; carried over to `to` seen from `from`.
  const Eigen::Matrix3d carry = adjoint(between(nodes[to].pose, nodes[from].pose));
  return {from, to, between(nodes[from].pose, nodes[to].pose), carry * covariances[from] * carry.transpose(), false};
}

std::vector<Verified> verify_all(const std::vector<Proposal>& proposals, const SeenPath& path, int threads) {
  constexpr std::size_t kBatch = 256;  // places are large
  std::vector<Verified> verified;
  for (std::size_t begin = 0; begin < proposals.size(); begin += kBatch) {
    const std::size_t count = std::min(kBatch, proposals.size() - begin);
    for (Verified& v : verify_batch(std::span(proposals).subspan(begin, count), path, threads)) {
      verified.push_back(std::move(v));
    }
  }
  return verified;
}

}  // namespace wainscot
