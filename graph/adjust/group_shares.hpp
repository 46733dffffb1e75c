#pragma once

// What a return is worth beside its neighbours of the same scan on the same piece of wall, which err with it.

#include <cstddef>
#include <cstdint>
#include <vector>

#include "graph/adjust/paired_walls.hpp"
#include "scanmatch/icp.hpp"

namespace wainscot {

/// Shares of the weights, node after node: 1 / (1 + group variance * sum of the group's 1 / variance), so that a group
/// as a whole has the weight that both variances leave it (the design effect of clustered samples; L. Kish, "Survey
/// Sampling", 1965). They depend on how well the returns were measured, not on where they lie.
class GroupShares {
 public:
  /// `noise` and `group_sd_m`: of single ranges, and of what a group errs by together. `walls` has to outlive it.
  GroupShares(const PairedWalls& walls, const RangeNoise& noise, double group_sd_m);

  /// Of each return of node `k`; of those on no shared piece it means nothing. `points`: the node's, as measured. Valid
  /// until the next call.
  const std::vector<double>& of_node(std::size_t k, const std::vector<ScanPoint>& points);

 private:
  const PairedWalls& walls_;
  RangeNoise noise_;
  double group_variance_;
  std::vector<double> weights_;        ///< of each piece's group, 0 between two nodes
  std::vector<std::int32_t> touched_;  ///< pieces with a group in this node
  std::vector<double> shares_;
};

}  // namespace wainscot
