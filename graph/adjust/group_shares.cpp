#include "graph/adjust/group_shares.hpp"

namespace wainscot {

GroupShares::GroupShares(const PairedWalls& walls, const RangeNoise& noise, double group_sd_m)
    : walls_(walls),
      noise_(noise),
      group_variance_(group_sd_m * group_sd_m),
      weights_(walls.pieces.lines().size(), 0.0) {}

const std::vector<double>& GroupShares::of_node(std::size_t k, const std::vector<ScanPoint>& points) {
  shares_.assign(points.size(), 1.0);
  if (group_variance_ == 0.0) return shares_;
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (walls_.shared_piece(k, i) == nullptr) continue;
    double& weight = weights_[static_cast<std::size_t>(walls_.piece_of[k][i])];
    if (weight == 0.0) touched_.push_back(walls_.piece_of[k][i]);
    weight += 1.0 / across_variance(points[i], noise_);
  }
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (walls_.shared_piece(k, i) == nullptr) continue;
    shares_[i] = 1.0 / (1.0 + group_variance_ * weights_[static_cast<std::size_t>(walls_.piece_of[k][i])]);
  }
  for (const std::int32_t piece : touched_) weights_[static_cast<std::size_t>(piece)] = 0.0;
  touched_.clear();
  return shares_;
}

}  // namespace wainscot
