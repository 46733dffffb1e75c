#pragma once

// A room of 4 m by 3 m with the corner at the origin and a wall of 0.12 m behind its right side, as a map would hold
// it: exact pieces of its walls, and what nodes in it and behind that wall saw, noise and errors drawn from a seed.

#include <cmath>
#include <random>
#include <vector>

#include <Eigen/Dense>

#include "graph/map.hpp"
#include "graph/measure/tape.hpp"

namespace wainscot {

struct RoomErrors {
  double noise_m = 0.0;
  double face_bias_m = 0.0;  ///< standard deviation, one draw a face
  double pose_sd_m = 0.0;  ///< and of each node's position, which the nodes state; headings have a third of it a metre
};

class TapeRoom {
 public:
  explicit TapeRoom(unsigned seed = 1, const RoomErrors& errors = {}) : random_(seed), errors_(errors) {
    for (int i = 0; i < 12; ++i) add_node({0.7 + 0.24 * i, 1.0 + 0.5 * std::sin(0.8 * i), 0.3 * i});
    inside_ = map_.graph.nodes.size();
    for (int i = 0; i < 8; ++i) add_node({5.0 + 0.1 * i, 0.6 + 0.25 * i, -0.4 * i});
    returns_.resize(map_.graph.nodes.size());
    add_face({0.0, 0.0}, {4.0, 0.0}, 0, inside_);
    add_face({4.0, 0.0}, {4.0, 3.0}, 0, inside_);
    add_face({4.0, 3.0}, {0.0, 3.0}, 0, inside_);
    add_face({0.0, 3.0}, {0.0, 0.0}, 0, inside_);
    add_face({4.12, 3.0}, {4.12, 0.0}, inside_, map_.graph.nodes.size());
  }

  Map& map() { return map_; }
  const std::vector<std::vector<PlacedReturn>>& returns() const { return returns_; }
  MeasurableMap measurable() const { return MeasurableMap(map_, returns_); }

 private:
  double draw(double sd) { return sd * std::normal_distribution<double>()(random_); }

  void add_node(const Pose2& found) {
    Node node;
    node.scan = node_errors_.size();
    node.pose = found;
    const bool first = node_errors_.empty();
    const double sd = first ? 0.0 : errors_.pose_sd_m;
    const Eigen::Vector3d sds(sd, sd, sd / 3.0);
    node.covariance = sds.cwiseAbs2().asDiagonal();
    node_errors_.push_back(exp(Tangent2(draw(sds.x()), draw(sds.y()), draw(sds.z()))));
    map_.graph.nodes.push_back(node);
  }

  /// The room lies to the left of from -> to. Nodes first .. last - 1 see it, from where they truly are.
  void add_face(const Eigen::Vector2d& from, const Eigen::Vector2d& to, std::size_t first, std::size_t last) {
    const double length = (to - from).norm();
    const Eigen::Vector2d along = (to - from) / length;
    const Eigen::Vector2d normal(-along.y(), along.x());
    const double bias = draw(errors_.face_bias_m);
    for (double at = 0.15; at < length; at += 0.3) {
      map_.wall_pieces.push_back({from + at * along, std::atan2(normal.y(), normal.x()), 0.14, 0.002, 100, 9});
    }
    for (std::size_t node = first; node < last; ++node) {
      const Pose2& found = map_.graph.nodes[node].pose;
      const Pose2 truth = found * node_errors_[node];
      for (double at = 0.02; at < length; at += 0.03) {
        const Eigen::Vector2d beam = (from + at * along - truth.translation()).normalized();
        const double noise = std::max(errors_.noise_m, 1e-4);
        const Eigen::Vector2d hit = from + at * along + (bias + draw(errors_.noise_m)) * beam;
        const Pose2 by_map = found * inverse(truth);
        const double across = noise * normal.dot(beam);
        returns_[node].push_back(
            {by_map * hit, by_map.rotation() * normal, by_map.rotation() * beam, across * across + 1e-8});
      }
    }
  }

  std::mt19937 random_;
  RoomErrors errors_;
  Map map_;
  std::vector<Pose2> node_errors_;
  std::vector<std::vector<PlacedReturn>> returns_;
  std::size_t inside_ = 0;
};

}  // namespace wainscot
