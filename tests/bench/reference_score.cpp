#include "tests/bench/reference_score.hpp"

#include <algorithm>
#include <bitset>
#include <cmath>
#include <numbers>

#include "core/angles.hpp"
#include "core/chi_squared.hpp"
#include "core/errors.hpp"
#include "core/median.hpp"
#include "graph/node_covariance.hpp"

namespace wainscot::bench {
namespace {

constexpr double kLongSince_m = 10.0;  // as in the bench of simulated houses: what lies nearer, tracking holds together

/// From one pose to another, the heading brought to half a turn.
Pose2 wrapped_between(const Pose2& from, const Pose2& to) {
  Pose2 relation = between(from, to);
  relation.heading_rad = wrap_angle(relation.heading_rad);
  return relation;
}

/// Way driven by the reference up to each node; that of the node before where it has none.
std::vector<double> ways_m(const NodeReferences& references) {
  std::vector<double> ways;
  double way_m = 0.0;
  std::optional<Pose2> before;
  for (const std::optional<Pose2>& here : references) {
    if (here && before) way_m += (here->translation() - before->translation()).norm();
    if (here) before = here;
    ways.push_back(way_m);
  }
  return ways;
}

bool comes_back(std::size_t later, const NodeReferences& references, const std::vector<double>& ways,
                double same_heading_rad) {
  constexpr double kSamePlace_m = 1.0;
  if (!references[later]) return false;
  for (std::size_t i = 0; i < later && ways[i] < ways[later] - kLongSince_m; ++i) {
    if (!references[i]) continue;
    const Pose2 relation = wrapped_between(*references[i], *references[later]);
    if (relation.translation().norm() <= kSamePlace_m && std::abs(relation.heading_rad) <= same_heading_rad)
      return true;
  }
  return false;
}

bool is_right(const LoopCandidate& closure, const NodeReferences& references) {
  const Pose2 error = wrapped_between(between(*references[closure.from], *references[closure.to]), closure.found);
  return error.translation().norm() <= kWrongRelation_m && std::abs(error.heading_rad) <= kWrongRelation_rad;
}

/// Nodes beside which a right closure joins the way to another time.
std::vector<bool> joined_nodes(const std::vector<const LoopCandidate*>& right, const std::vector<double>& ways) {
  constexpr double kBeside_m = 2.0;
  std::vector<bool> joined(ways.size(), false);
  for (const LoopCandidate* closure : right) {
    if (std::abs(ways[closure->to] - ways[closure->from]) <= kLongSince_m) continue;
    for (std::size_t i = 0; i < ways.size(); ++i) {
      joined[i] = joined[i] || std::abs(ways[i] - ways[closure->from]) <= kBeside_m ||
                  std::abs(ways[i] - ways[closure->to]) <= kBeside_m;
    }
  }
  return joined;
}

/// `missed`: nodes, ascending.
void count_stretches(const std::vector<std::size_t>& missed, const std::vector<double>& ways, RelationScore& score) {
  constexpr double kOneStretch_m = 3.0;  // as in the bench of simulated houses
  for (std::size_t i = 0; i < missed.size();) {
    std::size_t last = i;
    while (last + 1 < missed.size() && ways[missed[last + 1]] - ways[missed[last]] < kOneStretch_m) ++last;
    const double way_m = ways[missed[last]] - ways[missed[i]];
    ++score.stretches;
    score.missed_way_m += way_m;
    score.longest_missed_m = std::max(score.longest_missed_m, way_m);
    i = last + 1;
  }
}

/// How errors of a pose come out at another, in the other's axes.
Eigen::Matrix3d carried(const Pose2& from, const Pose2& to) { return adjoint(inverse(between(from, to))); }

/// Of nodes against one of them, tangent space of the node.
class RelativeCovariance {
 public:
  RelativeCovariance(const PoseGraph& graph, std::size_t from) : graph_(graph), from_(from) {
    if (from > 0) joint_.emplace(graph);  // against the first they are stated
  }
  Eigen::Matrix3d of(std::size_t node) const {
    if (!joint_) return graph_.nodes[node].covariance;
    Eigen::Matrix<double, 3, 6> jacobian;
    jacobian << -carried(graph_.nodes[from_].pose, graph_.nodes[node].pose), Eigen::Matrix3d::Identity();
    return jacobian * joint_->of(std::array{from_, node}) * jacobian.transpose();
  }

 private:
  const PoseGraph& graph_;
  std::size_t from_;
  std::optional<NodeCovariance> joint_;
};

/// The errors of the nodes as the intervals see them.
struct NodeErrors {
  std::array<std::vector<double>, 3> error, sd, error_per_sd;
  std::size_t position_held = 0;
  std::size_t heading_held = 0;

  void add(const Tangent2& off, const Eigen::Matrix3d& covariance) {
    static const double gate = chi_squared_quantile(0.95, 2);
    for (int axis = 0; axis < 3; ++axis) {
      const auto i = static_cast<std::size_t>(axis);
      error[i].push_back(std::abs(off[axis]));
      sd[i].push_back(std::sqrt(covariance(axis, axis)));
      error_per_sd[i].push_back(error[i].back() / sd[i].back());
    }
    const Eigen::Vector2d position = off.head<2>();
    const Eigen::Matrix2d spread = covariance.topLeftCorner<2, 2>();
    position_held += position.dot(spread.inverse() * position) <= gate ? 1 : 0;
    heading_held += error_per_sd[2].back() <= 1.96 ? 1 : 0;
  }
};

/// By how much the first node is off once all nodes are laid on the reference as well as they can be.
Pose2 start_off(const PoseGraph& graph, const NodeReferences& references, std::size_t first) {
  std::vector<TimedPose> found, expected;
  for (std::size_t i = 0; i < references.size(); ++i) {
    if (!references[i]) continue;
    found.push_back({graph.nodes[i].time_s, graph.nodes[i].pose});
    expected.push_back({graph.nodes[i].time_s, *references[i]});
  }
  if (found.size() < 2) return {};
  return wrapped_between(*references[first], aligned_path(found, expected).alignment * graph.nodes[first].pose);
}

}  // namespace

std::optional<Pose2> reference_at(const std::vector<TimedPose>& reference, double time_s) {
  const auto after = std::lower_bound(reference.begin(), reference.end(), time_s,
                                      [](const TimedPose& row, double time) { return row.time_s < time; });
  const auto off_s = [&](auto row) { return std::abs(row->time_s - time_s); };
  auto nearest = after;
  if (after != reference.begin() && (after == reference.end() || off_s(after - 1) < off_s(after))) nearest = after - 1;
  if (nearest == reference.end() || off_s(nearest) > kSameStampS) return std::nullopt;
  return nearest->pose;
}

NodeReferences node_references(const PoseGraph& graph, const Drive& drive, const std::vector<TimedPose>& reference,
                               const Pose2& mounting) {
  NodeReferences references;
  for (const Node& node : graph.nodes) {
    references.push_back(reference_at(reference, drive.scans.at(node.scan).time_s));
    if (references.back()) references.back() = *references.back() * inverse(mounting);
  }
  return references;
}

PathScore score_path(const std::vector<ScanPose>& placed, const Drive& drive, const std::vector<TimedPose>& reference,
                     const Pose2& mounting) {
  std::vector<TimedPose> found, expected;
  for (const ScanPose& place : placed) {
    const double stamp_s = drive.scans[place.scan].time_s;
    const std::optional<Pose2> pose = reference_at(reference, stamp_s);
    if (!pose) continue;
    found.push_back({stamp_s, place.pose * mounting});
    expected.push_back({stamp_s, *pose});
  }
  if (found.size() < 2) throw PoorData("fewer than two of the scans on the map have a pose in the reference");
  PathScore score;
  score.error = absolute_trajectory_error(found, expected);
  for (const PosePair& pair : aligned_path(found, expected).poses) {
    const double off_m = (pair.estimate.translation() - pair.truth.translation()).norm();
    score.off_by_1m += off_m > 1.0 ? 1 : 0;
    score.off_by_10m += off_m > 10.0 ? 1 : 0;
  }
  return score;
}

RelationScore score_relations(const std::vector<LoopCandidate>& candidates, const NodeReferences& references,
                              double same_heading_rad) {
  RelationScore score;
  std::vector<const LoopCandidate*> right;
  for (const LoopCandidate& candidate : candidates) {
    if (candidate.verdict != Verdict::accepted) continue;
    if (!references[candidate.from] || !references[candidate.to]) {
      ++score.unknown;
    } else if (is_right(candidate, references)) {
      right.push_back(&candidate);
    } else {
      ++score.wrong;
    }
  }
  score.right = right.size();
  const std::vector<double> ways = ways_m(references);
  const std::vector<bool> joined = joined_nodes(right, ways);
  std::vector<std::size_t> missed;
  for (std::size_t node = 0; node < references.size(); ++node) {
    if (!comes_back(node, references, ways, same_heading_rad)) continue;
    ++score.returned;
    if (!joined[node]) missed.push_back(node);
  }
  score.missed = missed.size();
  count_stretches(missed, ways, score);
  return score;
}

double same_heading_rad(const Drive& drive) {
  constexpr std::size_t kSectors = 36;
  std::bitset<kSectors> seen;
  for (const Scan& scan : drive.scans) {
    for (const Return& beam : scan.returns) {
      const double turn = 0.5 + static_cast<double>(beam.angle_rad) / (2.0 * std::numbers::pi);
      seen.set(std::min(kSectors - 1, static_cast<std::size_t>(std::max(0.0, turn) * kSectors)));
    }
  }
  return seen.count() >= 30 ? std::numbers::pi : 30.0 / kDegreesPerRadian;
}

Eigen::Vector3d reference_noise(const PoseGraph& graph, const NodeReferences& references) {
  std::array<std::vector<double>, 3> off;
  for (std::size_t i = 1; i < references.size(); ++i) {
    if (!references[i - 1] || !references[i]) continue;
    const Tangent2 difference = log(wrapped_between(between(graph.nodes[i - 1].pose, graph.nodes[i].pose),
                                                    between(*references[i - 1], *references[i])));
    for (const std::size_t axis : {0U, 1U, 2U}) off[axis].push_back(std::abs(difference[static_cast<int>(axis)]));
  }
  return Eigen::Vector3d(median(off[0]), median(off[1]), median(off[2])) / (kNormalMedian * std::numbers::sqrt2);
}

IntervalScore score_intervals(const PoseGraph& graph, const NodeReferences& references, const Eigen::Vector3d& noise) {
  IntervalScore score;
  const auto common = std::find_if(references.begin(), references.end(), [](const auto& r) { return r.has_value(); });
  if (common == references.end()) return score;
  const auto first = static_cast<std::size_t>(common - references.begin());
  const Pose2 map_reference = graph.nodes[first].pose * inverse(**common);
  const RelativeCovariance stated(graph, first);
  const Eigen::Matrix3d of_reference = noise.cwiseAbs2().asDiagonal();
  NodeErrors errors;
  for (std::size_t i = first + 1; i < references.size(); ++i) {
    if (!references[i]) continue;
    const Eigen::Matrix3d by_first = carried(graph.nodes[first].pose, graph.nodes[i].pose);
    errors.add(log(wrapped_between(graph.nodes[i].pose, map_reference * *references[i])),
               stated.of(i) + of_reference + by_first * of_reference * by_first.transpose());
    ++score.nodes;
  }
  if (score.nodes == 0) return score;
  score.position_held = static_cast<double>(errors.position_held) / static_cast<double>(score.nodes);
  score.heading_held = static_cast<double>(errors.heading_held) / static_cast<double>(score.nodes);
  for (std::size_t axis = 0; axis < 3; ++axis) {
    score.error_per_sd[axis] = median(errors.error_per_sd[axis]);
    score.error[axis] = median(errors.error[axis]);
    score.sd[axis] = median(errors.sd[axis]);
  }
  const Pose2 off = start_off(graph, references, first);
  score.start_off_m = off.translation().norm();
  score.start_off_rad = off.heading_rad;
  return score;
}

}  // namespace wainscot::bench
