#include "graph/adjust/thinning.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>

namespace wainscot {
namespace {

/// For each node, how many earlier ones its place and sector have.
std::vector<int> ranks(const std::vector<Pose2>& poses, const ThinningOptions& options) {
  std::map<std::array<int, 3>, int> seen;
  std::vector<int> result;
  for (const Pose2& pose : poses) {
    const double turns = pose.heading_rad / (2.0 * std::numbers::pi);
    const auto cell = [&](double at_m) { return static_cast<int>(std::floor(at_m / options.cell_m)); };
    const auto sector = static_cast<int>((turns - std::floor(turns)) * options.headings);
    result.push_back(seen[{cell(pose.x_m), cell(pose.y_m), sector}]++);
  }
  return result;
}

}  // namespace

std::vector<std::size_t> informative_nodes(const std::vector<Pose2>& poses, const ThinningOptions& options) {
  const std::vector<int> rank = ranks(poses, options);
  if (rank.empty()) return {};
  std::vector<std::size_t> nodes_of_rank(static_cast<std::size_t>(*std::max_element(rank.begin(), rank.end())) + 1, 0);
  for (int r : rank) ++nodes_of_rank[static_cast<std::size_t>(r)];
  int enough = 0;
  std::size_t together = 0;
  for (std::size_t nodes : nodes_of_rank) {
    together += nodes;
    if (enough >= options.fewest_of_a_place && together > options.most_nodes) break;
    ++enough;
  }
  std::vector<std::size_t> kept;
  for (std::size_t i = 0; i < rank.size(); ++i) {
    if (rank[i] < enough || i + 1 == rank.size()) kept.push_back(i);
  }
  return kept;
}

}  // namespace wainscot
