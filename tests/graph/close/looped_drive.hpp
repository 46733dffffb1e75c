#pragma once

// A room that is driven through more than once, as tracking would leave it: for tests of the stages of loop closing.

#include <cmath>
#include <cstddef>
#include <vector>

#include "graph/close/verification.hpp"
#include "graph/track/keyframes.hpp"
#include "tests/graph/scene.hpp"

namespace wainscot {

/// Of what sees the rooms of these tests.
constexpr RangeNoise kNoise{0.005, 0.0};

/// Round a crooked room again and again; `tour` nodes make one round of ten metres.
struct LoopedDrive {
  std::size_t tour = 0;
  std::vector<Pose2> truth;
  TrackedPath tracked;

  /// `per_step`: what tracking adds at each step; its edges' information allows `sd_m` and `sd_rad`.
  explicit LoopedDrive(int rounds, const Tangent2& per_step = Tangent2::Zero(), double sd_m = 0.006,
                       double sd_rad = 0.004) {
    const std::vector<Eigen::Vector2d> corners{{-1.7, -1.3}, {1.7, -1.3}, {1.5, 0.2}, {0.6, 1.0}, {-1.2, 0.9}};
    for (int round = 0; round < rounds; ++round) add_round(corners);
    tour = truth.size() / static_cast<std::size_t>(rounds);
    for (std::size_t i = 0; i < truth.size(); ++i) {
      tracked.keyframes.push_back(keyframe_at(crooked_room(), truth[i], i));
      if (i == 0) {
        tracked.poses.push_back(truth[0]);
        continue;
      }
      const Pose2 relative = between(truth[i - 1], truth[i]) * exp(per_step);
      tracked.poses.push_back(tracked.poses.back() * relative);
      tracked.edges.push_back({EdgeKind::match, i - 1, i, relative, information_of(sd_m, sd_rad)});
    }
  }

  /// The robot is carried before node `node`: nothing tells where it was put down.
  void lift(std::size_t node, const Pose2& to) {
    const Pose2 elsewhere = to * inverse(tracked.poses[node]);
    for (std::size_t i = node; i < truth.size(); ++i) tracked.poses[i] = elsewhere * tracked.poses[i];
    Edge& edge = tracked.edges[node - 1];
    edge.kind = EdgeKind::odometry;
    edge.relative = between(tracked.poses[node - 1], tracked.poses[node]);
    edge.information = information_of(100.0, 3.0);
    tracked.breaks = tracked.jumps = {node};
  }

  /// Pose of node `to` in the frame of `from`.
  Pose2 relative(std::size_t from, std::size_t to) const { return between(truth[from], truth[to]); }

  /// A pair that fits, off by `error`.
  Verified closure(std::size_t from, std::size_t to, const Pose2& error = {}) const {
    Verified verified;
    verified.fit = Fit::fits;
    verified.candidate.from = from;
    verified.candidate.to = to;
    verified.candidate.found = relative(from, to) * error;
    verified.candidate.overlap = 0.9;
    verified.information = information_of(0.01, 0.005);
    return verified;
  }

 private:
  void add_round(const std::vector<Eigen::Vector2d>& corners) {
    for (std::size_t c = 0; c < corners.size(); ++c) {
      const Eigen::Vector2d leg = corners[(c + 1) % corners.size()] - corners[c];
      const int steps = static_cast<int>(std::ceil(leg.norm() / 0.3));
      for (int s = 0; s < steps; ++s) {
        const Eigen::Vector2d place = corners[c] + leg * s / steps;
        truth.push_back({place.x(), place.y(), std::atan2(leg.y(), leg.x())});
      }
    }
  }
};

}  // namespace wainscot
