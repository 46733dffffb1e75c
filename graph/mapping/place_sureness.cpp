#include "graph/mapping/place_sureness.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <stdexcept>

#include <Eigen/Dense>

#include "graph/node_covariance.hpp"

namespace wainscot {
namespace {

/// The graph, its nodes as sure as they would be if the scale were known.
PoseGraph as_if_scale_known(const PoseGraph& graph, double scale_sd) {
  PoseGraph known = graph;
  const Eigen::Vector2d origin = graph.nodes.front().pose.translation();
  for (Node& node : known.nodes) {
    const Eigen::Rotation2Dd to_node(-node.pose.heading_rad);
    Eigen::Vector3d by_scale = Eigen::Vector3d::Zero();
    by_scale.head<2>() = to_node * (node.pose.translation() - origin);
    // No more than leaves a covariance: C - t v v' is one up to t = 1 / (v' C^-1 v).
    const double most = 1.0 / by_scale.dot(node.covariance.ldlt().solve(by_scale));
    if (!std::isfinite(most) || most <= 0.0) continue;
    node.covariance -= std::min(scale_sd * scale_sd, most) * by_scale * by_scale.transpose();
  }
  return known;
}

/// Up to 64, evenly from the first to the last: of five recorded drives twice as many change the root mean square of
/// all nodes by 1 % at most; the worst one's comes out within a quarter of what all nodes give.
std::vector<std::size_t> spread_nodes(std::size_t nodes) {
  const std::size_t count = std::min<std::size_t>(nodes, 64);
  std::vector<std::size_t> spread;
  for (std::size_t i = 0; i < count; ++i) spread.push_back(count < 2 ? 0 : i * (nodes - 1) / (count - 1));
  return spread;
}

/// Joint covariance of places in the map's frame, two rows each.
Eigen::MatrixXd covariance_of_places(const PoseGraph& graph, const std::vector<std::size_t>& nodes) {
  const Eigen::MatrixXd poses = NodeCovariance(graph).of(nodes);
  const auto count = static_cast<Eigen::Index>(nodes.size());
  Eigen::MatrixXd turn = Eigen::MatrixXd::Zero(2 * count, 3 * count);
  for (Eigen::Index i = 0; i < count; ++i) {
    turn.block<2, 2>(2 * i, 3 * i) =
        Eigen::Rotation2Dd(graph.nodes[nodes[static_cast<std::size_t>(i)]].pose.heading_rad).toRotationMatrix();
  }
  return turn * poses * turn.transpose();
}

/// What moving, turning and scaling the map does to places, two rows each.
Eigen::MatrixXd moves_of_the_whole(const PoseGraph& graph, const std::vector<std::size_t>& nodes) {
  Eigen::Vector2d middle = Eigen::Vector2d::Zero();
  for (const std::size_t node : nodes) middle += graph.nodes[node].pose.translation();
  middle /= static_cast<double>(nodes.size());
  Eigen::MatrixXd moves(2 * static_cast<Eigen::Index>(nodes.size()), 4);
  for (std::size_t i = 0; i < nodes.size(); ++i) {
    const Eigen::Vector2d d = graph.nodes[nodes[i]].pose.translation() - middle;
    moves.middleRows<2>(2 * static_cast<Eigen::Index>(i)) << 1.0, 0.0, -d.y(), d.x(), 0.0, 1.0, d.x(), d.y();
  }
  return moves;
}

std::vector<double> sds_of(const PoseGraph& graph, const std::vector<std::size_t>& nodes) {
  const Eigen::MatrixXd moves = moves_of_the_whole(graph, nodes);
  // A robot that only turned leaves moves that are not independent: the pseudoinverse knows what to do.
  const Eigen::MatrixXd fit = moves.completeOrthogonalDecomposition().pseudoInverse();
  const Eigen::MatrixXd rest = Eigen::MatrixXd::Identity(moves.rows(), moves.rows()) - moves * fit;
  const Eigen::MatrixXd covariance = rest * covariance_of_places(graph, nodes) * rest.transpose();
  std::vector<double> sds;
  for (Eigen::Index i = 0; i < covariance.rows(); i += 2) {
    sds.push_back(std::sqrt(std::max(0.0, covariance(i, i) + covariance(i + 1, i + 1))));
  }
  return sds;
}

double variance_against_first_m2(const Node& node) {
  return std::max(0.0, node.covariance(0, 0) + node.covariance(1, 1));
}

std::vector<double> sds_against_first(const PoseGraph& graph) {
  std::vector<double> sds;
  for (const Node& node : graph.nodes) sds.push_back(std::sqrt(variance_against_first_m2(node)));
  return sds;
}

/// Between two nodes whose standard uncertainties are known. A node that few scans tie to its neighbours is less sure
/// than they are, by as much against the whole as against the first.
void interpolate(const PoseGraph& graph, std::size_t from, std::size_t to, std::vector<double>& sds) {
  const double from_m2 = variance_against_first_m2(graph.nodes[from]);
  const double to_m2 = variance_against_first_m2(graph.nodes[to]);
  for (std::size_t node = from + 1; node < to; ++node) {
    const double share = static_cast<double>(node - from) / static_cast<double>(to - from);
    const double usual_m2 = (1.0 - share) * from_m2 + share * to_m2;
    const double beyond_m2 = std::max(0.0, variance_against_first_m2(graph.nodes[node]) - usual_m2);
    sds[node] = std::hypot((1.0 - share) * sds[from] + share * sds[to], std::sqrt(beyond_m2));
  }
}

}  // namespace

std::vector<double> place_sds_m(const PoseGraph& graph, double scale_sd) {
  if (graph.nodes.empty()) return {};
  const std::vector<std::size_t> nodes = spread_nodes(graph.nodes.size());
  const PoseGraph known = as_if_scale_known(graph, scale_sd);
  std::vector<double> spread;
  try {
    spread = sds_of(known, nodes);
  } catch (const std::runtime_error&) {
    return sds_against_first(graph);
  }
  std::vector<double> sds(graph.nodes.size());
  for (std::size_t i = 0; i < nodes.size(); ++i) sds[nodes[i]] = spread[i];
  for (std::size_t i = 1; i < nodes.size(); ++i) interpolate(known, nodes[i - 1], nodes[i], sds);
  return sds;
}

}  // namespace wainscot
