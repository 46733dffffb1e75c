#include "graph/mapping/restated_edges.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include <Eigen/Dense>

#include "graph/bounded_squares.hpp"
#include "graph/edge_residuals.hpp"

namespace wainscot {
namespace {

/// The factor of the variance with which the bounded squares have their mean.
double factor_of(const std::vector<double>& squares, const BoundedSquares& bounded) {
  constexpr double kMost = 1e6;
  constexpr int kHalvings = 60;
  double low = 1.0 / kMost;
  double high = kMost;
  for (int i = 0; i < kHalvings; ++i) {
    const double middle = std::sqrt(low * high);
    double sum = 0.0;
    for (const double square : squares) sum += bounded(square / middle);
    (sum > bounded.mean * static_cast<double>(squares.size()) ? low : high) = middle;
  }
  return std::sqrt(low * high);
}

void scale_noise(EdgeKind kind, const Eigen::Vector3d& variances, PoseGraph& graph) {
  const Eigen::Vector3d scale = variances.cwiseSqrt().cwiseInverse();
  for (Edge& edge : graph.edges) {
    if (edge.kind == kind) edge.information = scale.asDiagonal() * edge.information * scale.asDiagonal();
  }
}

/// The adjustment rests on the same scans as the matches, and what both err by shows in no residual. It is the better
/// estimate of the two, and then uncorrelated with their difference (Gauss and Markov), so that a match's covariance is
/// that of its residual and the adjustment's own together. Of the latter the sample's mean: in one drive it is within a
/// factor of two (five recordings, two simulated homes).
void add_adjusted_noise(EdgeKind kind, const std::vector<AdjustedPair>& adjusted, PoseGraph& graph) {
  double count = 0.0;
  Eigen::Matrix3d sum = Eigen::Matrix3d::Zero();
  for (const AdjustedPair& pair : adjusted) {
    if (graph.edges[pair.edge].kind != kind) continue;
    count += 1.0;
    sum += pair.covariance;
  }
  if (count < 1.0) return;
  const Eigen::Matrix3d mean = sum / count;
  for (Edge& edge : graph.edges) {
    if (edge.kind != kind) continue;
    // (covariance + mean)^-1, of an edge that leaves directions free as well.
    const Eigen::Matrix3d shrunk = (Eigen::Matrix3d::Identity() + edge.information * mean).inverse() * edge.information;
    edge.information = 0.5 * (shrunk + shrunk.transpose());
  }
}

/// By the squares of residuals; false, and nothing done: they are too few.
bool restate_noise(EdgeKind kind, PoseGraph& graph) {
  constexpr double kNextToNothing = 1e-4;  // 100 m, 100 rad: directions that an edge leaves free
  constexpr std::size_t kEnough = 10;      // a variance from so many, two or three squares each, is good to a third
  std::vector<double> of_position;
  std::vector<double> of_heading;
  std::vector<double> of_pose;
  const std::vector<EdgeResidual> residuals = edge_residuals(graph);
  for (std::size_t i = 0; i < graph.edges.size(); ++i) {
    if (graph.edges[i].kind != kind) continue;
    const Eigen::Matrix3d covariance =
        (graph.edges[i].information + kNextToNothing * Eigen::Matrix3d::Identity()).inverse();
    const Eigen::Vector2d position = residuals[i].error.head<2>();
    of_position.push_back(position.dot(covariance.topLeftCorner<2, 2>().ldlt().solve(position)));
    of_heading.push_back(residuals[i].error[2] * residuals[i].error[2] / covariance(2, 2));
  }
  if (of_position.size() < kEnough) return false;
  const double by_position = factor_of(of_position, kBoundedTwo);
  scale_noise(kind, {by_position, by_position, factor_of(of_heading, kBoundedOne)}, graph);
  // Both together: what position and heading err by in common is not always as the match's own equations say.
  for (std::size_t i = 0; i < graph.edges.size(); ++i) {
    const Edge& edge = graph.edges[i];
    if (edge.kind == kind) of_pose.push_back(residuals[i].error.dot(edge.information * residuals[i].error));
  }
  scale_noise(kind, Eigen::Vector3d::Constant(factor_of(of_pose, kBoundedThree)), graph);
  return true;
}

}  // namespace

std::vector<std::size_t> sampled_edges(const PoseGraph& graph) {
  constexpr std::size_t kMost = 24;  // a limit of time; a mean of so many is good to a fifth of what they scatter by
  std::vector<std::size_t> sample;
  for (const EdgeKind kind : {EdgeKind::match, EdgeKind::closure}) {
    std::vector<std::size_t> edges;
    for (std::size_t i = 0; i < graph.edges.size(); ++i) {
      if (graph.edges[i].kind == kind) edges.push_back(i);
    }
    const std::size_t stride = 1 + edges.size() / kMost;
    for (std::size_t i = 0; i < edges.size(); i += stride) sample.push_back(edges[i]);
  }
  return sample;
}

void restate_edges(const Pose2& stated, const Pose2& refined, const std::vector<AdjustedPair>& adjusted,
                   PoseGraph& graph) {
  const Pose2 change = refined * inverse(stated);
  const Eigen::Matrix3d back = adjoint(inverse(change));
  for (Edge& edge : graph.edges) {
    if (edge.kind == EdgeKind::odometry) continue;
    edge.relative = change * edge.relative * inverse(change);
    edge.information = back.transpose() * edge.information * back;
  }
  for (const EdgeKind kind : {EdgeKind::match, EdgeKind::closure}) {
    if (restate_noise(kind, graph)) add_adjusted_noise(kind, adjusted, graph);
  }
}

}  // namespace wainscot
