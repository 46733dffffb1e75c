#include "graph/adjust/variance_factor.hpp"

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "graph/adjust/return_factor.hpp"
#include "scanmatch/icp.hpp"

namespace wainscot {
namespace {

/// The returns of one scan on one wall piece.
struct Group {
  double sum = 0.0;     ///< of residual / variance, 1/m
  double weight = 0.0;  ///< of 1 / variance, 1/m^2: the variance of `sum`
};

/// The groups of all scans, scan by scan.
class Groups {
 public:
  explicit Groups(std::size_t pieces) : slot_(pieces, -1), seen_(pieces, false) {}

  void begin_scan() { first_ = static_cast<std::int32_t>(groups_.size()); }

  void add(std::int32_t piece, double residual_m, double weight) {
    std::int32_t& place = slot_[static_cast<std::size_t>(piece)];
    if (place < first_) {
      place = static_cast<std::int32_t>(groups_.size());
      groups_.push_back({});
      seen_[static_cast<std::size_t>(piece)] = true;
    }
    Group& group = groups_[static_cast<std::size_t>(place)];
    group.sum += weight * residual_m;
    group.weight += weight;
  }

  double squares() const {
    double sum = 0.0;
    for (const Group& group : groups_) sum += group.sum * group.sum / group.weight;
    return sum;
  }

  std::size_t size() const { return groups_.size(); }
  std::ptrdiff_t pieces() const { return std::count(seen_.begin(), seen_.end(), true); }

 private:
  std::vector<Group> groups_;
  std::vector<std::int32_t> slot_;  ///< where the latest scan's group of a piece stands
  std::vector<bool> seen_;
  std::int32_t first_ = 0;
};

}  // namespace

double variance_factor(const AdjustmentProblem& problem, const AdjustmentState& state, const PairedWalls& walls) {
  constexpr double kUnknownsOfNode = 3.0;
  constexpr double kUnknownsOfPiece = 2.0;  // offset and slope; the bias is held by its prior
  constexpr double kEnough = 30.0;          // a variance from so many is good to a quarter: sqrt(2 / 30)
  // The robust weights w = 1 / (1 + x^2 / 2.5^2), see WallModel, make less of large residuals: of gaussian ones
  // E[x^2 w^2] / E[w] is left.
  constexpr double kLeftByWeights = 0.6036;
  const double robust2 = problem.walls.robust_ratio * problem.walls.robust_ratio;
  Groups groups(walls.pieces.lines().size());
  for (std::size_t k = 0; k < state.poses.size(); ++k) {
    groups.begin_scan();
    const std::vector<ScanPoint>& points = state.keyframes[k].points;
    const Eigen::Matrix2d rotation = state.poses[k].rotation();
    for (std::size_t i = 0; i < points.size(); ++i) {
      const Line* line = walls.shared_piece(k, i);
      if (line == nullptr) continue;
      const double off_m = distance_without_bias_m(points[i], *line, state.poses[k], rotation);
      const double variance = across_variance(points[i], problem.range_noise);
      groups.add(walls.piece_of[k][i], off_m, 1.0 / (variance * (1.0 + off_m * off_m / (variance * robust2))));
    }
  }
  const double redundancy = static_cast<double>(groups.size()) -
                            kUnknownsOfNode * static_cast<double>(state.poses.size() - 1) -
                            kUnknownsOfPiece * static_cast<double>(groups.pieces());
  return redundancy < kEnough ? 1.0 : groups.squares() / (kLeftByWeights * redundancy);
}

}  // namespace wainscot
