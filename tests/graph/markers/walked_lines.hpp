#pragma once

// A robot's way along lines on the floor, as a graph whose nodes are tightly joined.

#include <cmath>
#include <cstddef>
#include <string>
#include <vector>

#include "core/drive.hpp"
#include "graph/pose_graph.hpp"

namespace wainscot {

/// How the frame of a survey lies in the map.
inline const Pose2 kSurvey{3.0, -2.0, 1.25};

struct WalkedLines {
  PoseGraph graph;
  Drive drive;

  WalkedLines() { add_node({}); }

  /// Goes straight to `from`, and from there along a line to `to`, a node each 0.3 m and a second each; `bend_m`: the
  /// way is off a straight one by so much in its middle.
  void follow(const std::string& line, const Eigen::Vector2d& from, const Eigen::Vector2d& to, double bend_m = 0.0) {
    constexpr double kStepM = 0.3;
    const Eigen::Vector2d way = to - from;
    const double heading = std::atan2(way.y(), way.x());
    const Eigen::Vector2d left = Eigen::Vector2d(-way.y(), way.x()).normalized();
    const int steps = static_cast<int>(std::ceil(way.norm() / kStepM));
    const double begin_s = graph.nodes.back().time_s + 0.5;
    for (int i = 0; i <= steps; ++i) {
      const double part = static_cast<double>(i) / steps;
      const Eigen::Vector2d at = from + part * way + 4.0 * part * (1.0 - part) * bend_m * left;
      add_node({at.x(), at.y(), heading});
    }
    drive.followed.push_back({begin_s, graph.nodes.back().time_s + 0.25, line});
  }

  void measure(const std::string& line, const Eigen::Vector2d& from, const Eigen::Vector2d& to,
               const Pose2& map_from_survey) {
    const Eigen::Vector2d a = inverse(map_from_survey) * from;
    const Eigen::Vector2d b = inverse(map_from_survey) * to;
    drive.line_map.push_back({line, a.x(), a.y(), b.x(), b.y()});
  }

  std::vector<Pose2> poses() const {
    std::vector<Pose2> result;
    for (const Node& node : graph.nodes) result.push_back(node.pose);
    return result;
  }

 private:
  void add_node(const Pose2& pose) {
    Node node;
    node.pose = pose;
    node.time_s = static_cast<double>(graph.nodes.size());
    if (!graph.nodes.empty()) {
      Edge edge;
      edge.from = graph.nodes.size() - 1;
      edge.to = graph.nodes.size();
      edge.relative = between(graph.nodes.back().pose, pose);
      edge.information = Eigen::Vector3d(1e7, 1e7, 1e8).asDiagonal();
      graph.edges.push_back(edge);
    }
    graph.nodes.push_back(node);
  }
};

}  // namespace wainscot
