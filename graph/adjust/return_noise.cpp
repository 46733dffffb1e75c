#include "graph/adjust/return_noise.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "graph/adjust/return_factor.hpp"
#include "graph/bounded_squares.hpp"
#include "scanmatch/icp.hpp"

namespace wainscot {
namespace {

// Of a standard normal x with the robust weights w = 1 / (1 + x^2 / 2.5^2), see WallModel, by integration:
constexpr double kWeight = 0.8857;          // E[w]
constexpr double kWeightedSquare = 0.7146;  // E[x^2 w], and what a shift of x moves the mean of x w by
constexpr double kScoreSquare = 0.5345;     // E[x^2 w^2]

constexpr double kAttenuation = kWeightedSquare / kWeight;  // of a group's shift, by the robust weights
constexpr double kOwn = kScoreSquare / (kAttenuation * kAttenuation) / kWeight;  // variance of its mean * its weight

constexpr double kUnknownsOfNode = 3.0;  // x, y and heading

/// The returns of one scan on one wall piece, robustly weighted.
struct Group {
  std::int32_t piece = 0;
  std::size_t node = 0;
  double weight = 0.0;   ///< sum of w / variance, 1/m^2
  double sum = 0.0;      ///< of w / variance * residual, 1/m
  double squares = 0.0;  ///< of w / variance * residual^2
  double returns = 0.0;

  double shift_m() const { return sum / weight / kAttenuation; }
  /// Of the shift, by the noise of single ranges; `ratio`: by how much that is larger than it was taken for.
  double own_variance(double ratio) const { return ratio * ratio * kOwn / weight; }
};

/// All groups, scan by scan.
struct Groups {
  std::vector<Group> groups;
  double unknowns = 0.0;  ///< that were fitted to them
};

Groups groups_of(const AdjustmentProblem& problem, const AdjustmentState& state, const PairedWalls& walls) {
  constexpr double kUnknownsOfPiece = 2.0;  // offset and slope; the bias is held by its prior
  const double robust2 = problem.walls.robust_ratio * problem.walls.robust_ratio;
  const RangeNoise noise = state.range_noise(problem);
  Groups all;
  std::vector<std::int32_t> slot(walls.pieces.lines().size(), -1);
  for (std::size_t k = 0; k < state.poses.size(); ++k) {
    const auto first = static_cast<std::int32_t>(all.groups.size());
    const std::vector<ScanPoint>& points = state.keyframes[k].points;
    const Eigen::Matrix2d rotation = state.poses[k].rotation();
    for (std::size_t i = 0; i < points.size(); ++i) {
      const Line* line = walls.shared_piece(k, i);
      if (line == nullptr) continue;
      std::int32_t& place = slot[static_cast<std::size_t>(walls.piece_of[k][i])];
      if (place < 0) all.unknowns += kUnknownsOfPiece;
      if (place < first) {
        place = static_cast<std::int32_t>(all.groups.size());
        all.groups.push_back({walls.piece_of[k][i], k});
      }
      const double off_m = distance_without_bias_m(points[i], *line, state.poses[k], rotation);
      const double variance = across_variance(points[i], noise);
      const double weight = 1.0 / (variance + off_m * off_m / robust2);
      Group& group = all.groups[static_cast<std::size_t>(place)];
      group.weight += weight;
      group.sum += weight * off_m;
      group.squares += weight * off_m * off_m;
      group.returns += 1.0;
    }
  }
  all.unknowns += kUnknownsOfNode * static_cast<double>(state.poses.size() - 1);
  return all;
}

/// By how much the noise of single ranges is larger than it was taken for.
double ratio_within(const std::vector<Group>& groups) {
  double squares = 0.0;
  double redundancy = 0.0;
  for (const Group& g : groups) {
    squares += g.squares - g.sum * g.sum / g.weight;
    redundancy += g.returns - 1.0;
  }
  return redundancy > 0.0 ? std::sqrt(squares / (kWeightedSquare * redundancy)) : 1.0;
}

/// The variance that groups have beyond that of their returns, m^2.
double variance_between(const Groups& all, double redundancy, double ratio) {
  constexpr double kMostM = 0.1;  // groups further off are on other things: no piece takes them
  const auto too_small = [&](double between) {
    double sum = 0.0;
    for (const Group& g : all.groups) {
      sum += kBoundedOne(g.shift_m() * g.shift_m() / (g.own_variance(ratio) + between));
    }
    return sum > kBoundedOne.mean * redundancy;
  };
  double low = 0.0;
  double high = kMostM * kMostM;
  if (!too_small(low)) return low;
  constexpr int kHalvings = 40;  // 2^-40 of the first interval: finer than it can matter
  for (int i = 0; i < kHalvings; ++i) {
    const double middle = 0.5 * (low + high);
    (too_small(middle) ? low : high) = middle;
  }
  return low;
}

}  // namespace

ReturnNoise found_return_noise(const AdjustmentProblem& problem, const AdjustmentState& state,
                               const PairedWalls& walls) {
  const Groups all = groups_of(problem, state, walls);
  const double redundancy = static_cast<double>(all.groups.size()) - all.unknowns;
  if (redundancy < kEnoughForVariance) return state.return_noise;
  const double ratio = ratio_within(all.groups);
  ReturnNoise found;
  found.range_ratio = state.return_noise.range_ratio * ratio;
  found.group_sd_m = std::sqrt(variance_between(all, redundancy, ratio));
  return found;
}

double variance_factor(const AdjustmentProblem& problem, const AdjustmentState& state, const PairedWalls& walls) {
  const double between = state.return_noise.group_sd_m * state.return_noise.group_sd_m;
  const Groups all = groups_of(problem, state, walls);
  std::vector<std::size_t> last_node(static_cast<std::size_t>(walls.faces.count), state.poses.size());
  std::vector<std::size_t> place(last_node.size());
  struct FaceGroup {
    double weight = 0.0;
    double sum = 0.0;
  };
  std::vector<FaceGroup> of_faces;
  double unknowns = kUnknownsOfNode * static_cast<double>(state.poses.size() - 1);
  for (const Group& g : all.groups) {
    const std::int32_t face = walls.faces.of_piece[static_cast<std::size_t>(g.piece)];
    if (face == WallFaces::kNone) continue;
    const auto f = static_cast<std::size_t>(face);
    if (last_node[f] == state.poses.size()) unknowns += 1.0;  // where the face lies
    if (last_node[f] != g.node) {
      last_node[f] = g.node;
      place[f] = of_faces.size();
      of_faces.push_back({});
    }
    const double variance = g.own_variance(1.0) + between;
    of_faces[place[f]].weight += 1.0 / variance;
    of_faces[place[f]].sum += g.shift_m() / variance;
  }
  const double redundancy = static_cast<double>(of_faces.size()) - unknowns;
  if (redundancy < kEnoughForVariance) return 1.0;
  double squares = 0.0;
  for (const FaceGroup& g : of_faces) squares += kBoundedOne(g.sum * g.sum / g.weight);
  return std::max(1.0, squares / (kBoundedOne.mean * redundancy));
}

}  // namespace wainscot
