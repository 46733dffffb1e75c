// Prints what wainscot computes, for the Python checks beside it to compare with scipy's and other programs' answers:
//
//   reference_values chi_squared | arcs | nearest_lines | optimiser | path_errors | changes       JSON on standard
//   output reference_values map FOLDER                                           writes a small map

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdint>
#include <iostream>
#include <limits>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include <Eigen/Dense>
#include <nlohmann/json.hpp>

#include "core/chi_squared.hpp"
#include "core/odd_values.hpp"
#include "core/odometry.hpp"
#include "core/ordered_change.hpp"
#include "core/path_comparison.hpp"
#include "core/pose2.hpp"
#include "graph/map.hpp"
#include "graph/optimiser.hpp"
#include "io/map/map_folder.hpp"
#include "io/results/comparison.hpp"
#include "scanmatch/line_map.hpp"

namespace wainscot {
namespace {

using nlohmann::json;

json json_of(const Pose2& pose) { return {pose.x_m, pose.y_m, pose.heading_rad}; }

json json_of(const Eigen::Matrix3d& matrix) {
  json rows = json::array();
  for (int r = 0; r < 3; ++r) {
    rows.push_back({matrix(r, 0), matrix(r, 1), matrix(r, 2)});
  }
  return rows;
}

json chi_squared_values() {
  json result = json::array();
  for (const int degrees : {1, 2, 3, 4, 5, 10, 30, 100, 1000}) {
    for (const double p : {1e-6, 0.001, 0.05, 0.5, 0.9, 0.95, 0.99, 0.999, 1.0 - 1e-9}) {
      const double quantile = chi_squared_quantile(p, degrees);
      result.push_back({{"degrees", degrees},
                        {"probability", p},
                        {"quantile", quantile},
                        {"at_half", chi_squared_probability(0.5 * quantile, degrees)}});
    }
  }
  return result;
}

/// Drives whose wheels turn at constant speeds between samples, and where odometry takes them.
json arcs() {
  std::mt19937 random(11);
  std::uniform_int_distribution<int> ticks(-900, 2500);
  json result = json::array();
  for (int trial = 0; trial < 20; ++trial) {
    Drive drive;
    drive.robot.drive.emplace();
    drive.robot.drive->left_m_per_tick = 8.5e-5 * (1.0 + 0.01 * trial);
    drive.robot.drive->right_m_per_tick = trial % 4 == 3 ? -8.4e-5 : 8.4e-5;
    drive.robot.drive->track_width_m = 0.2 + 0.02 * trial;
    drive.wheels.push_back({5.0, 1000000, -77});
    for (int i = 1; i <= 40; ++i) {
      const WheelCounts& last = drive.wheels.back();
      // Straight on now and then, where an arc has no centre.
      const int left = ticks(random);
      const int right = i % 7 == 0 ? left : ticks(random);
      drive.wheels.push_back({last.time_s + 0.5, last.left_ticks + left, last.right_ticks + right});
    }
    const OdometryPath path(odometry_steps(drive), {});
    json counts = json::array();
    for (const WheelCounts& row : drive.wheels) {
      counts.push_back({row.time_s, row.left_ticks, row.right_ticks});
    }
    json poses = json::array();
    for (double time = 5.0; time <= 25.0; time += 1.3) {
      poses.push_back({{"time_s", time}, {"pose", json_of(path.pose_at(time))}});
    }
    result.push_back({{"left_m_per_tick", drive.robot.drive->left_m_per_tick},
                      {"right_m_per_tick", drive.robot.drive->right_m_per_tick},
                      {"track_width_m", drive.robot.drive->track_width_m},
                      {"counts", counts},
                      {"poses", poses}});
  }
  return result;
}

/// Walls at random, and which of their lines a return is paired with.
json nearest_lines() {
  std::mt19937 random(12);
  std::uniform_real_distribution<double> place(-4.0, 4.0);
  std::uniform_real_distribution<double> angle(-std::numbers::pi, std::numbers::pi);
  std::normal_distribution<double> noise(0.0, 0.01);
  const LineMapOptions options;
  LineMap map(options);
  for (int wall = 0; wall < 120; ++wall) {
    const Eigen::Vector2d middle(place(random), place(random));
    const double direction = angle(random);
    const Eigen::Vector2d along(std::cos(direction), std::sin(direction));
    const Eigen::Vector2d normal(-along.y(), along.x());
    for (double at = -0.5; at <= 0.5; at += 0.03) {
      map.add(middle + at * along + noise(random) * normal, normal, 1e4, 1, 0);
    }
  }
  map.fit();
  json lines = json::array();
  for (const Line& line : map.lines()) {
    lines.push_back({{"anchor", {line.anchor.x(), line.anchor.y()}},
                     {"normal", {line.normal.x(), line.normal.y()}},
                     {"offset_m", line.offset_m},
                     {"slope", line.slope},
                     {"first_along_m", line.first_along_m},
                     {"last_along_m", line.last_along_m}});
  }
  constexpr double gate_m = 0.2;
  json queries = json::array();
  for (int i = 0; i < 3000; ++i) {
    const Eigen::Vector2d point(place(random), place(random));
    const double direction = angle(random);
    const Eigen::Vector2d normal(std::cos(direction), std::sin(direction));
    queries.push_back({{"point", {point.x(), point.y()}},
                       {"normal", {normal.x(), normal.y()}},
                       {"found", map.find(point, normal, gate_m)}});
  }
  return {{"half_length_m", options.half_length_m},
          {"normal_cosine", options.normal_cosine},
          {"gate_m", gate_m},
          {"lines", lines},
          {"queries", queries}};
}

/// A drive round a few rooms: a chain of noisy steps and closures between places that are near one another.
PoseGraph noisy_graph(std::size_t nodes) {
  std::mt19937 random(13);
  std::normal_distribution<double> normal;
  std::vector<Pose2> truth{{}};
  for (std::size_t i = 1; i < nodes; ++i) {
    const double turn = i % 25 == 0 ? std::numbers::pi / 2 : 0.0;
    truth.push_back(truth.back() * exp({0.3, 0.0, turn + 0.02 * normal(random)}));
  }
  const Eigen::Vector3d sd(0.01, 0.006, 0.008);
  PoseGraph graph;
  const auto measured = [&](std::size_t from, std::size_t to, EdgeKind kind) {
    const Tangent2 error(sd.x() * normal(random), sd.y() * normal(random), sd.z() * normal(random));
    Eigen::Matrix3d information = sd.array().square().inverse().matrix().asDiagonal();
    information(0, 1) = information(1, 0) = 3000.0;
    information(1, 2) = information(2, 1) = -2000.0;
    graph.edges.push_back({kind, from, to, between(truth[from], truth[to]) * exp(error), information});
  };
  for (std::size_t i = 0; i < nodes; ++i) {
    Node node;
    node.scan = i;
    node.time_s = 0.5 * static_cast<double>(i);
    if (i > 0) {
      measured(i - 1, i, EdgeKind::odometry);
      node.pose = graph.nodes.back().pose * graph.edges.back().relative;
    }
    graph.nodes.push_back(node);
  }
  for (std::size_t i = 0; i < nodes; ++i) {
    for (std::size_t j = i + 60; j < nodes; j += 7) {
      if ((truth[i].translation() - truth[j].translation()).norm() < 0.5) {
        measured(i, j, EdgeKind::closure);
      }
    }
  }
  return graph;
}

json optimiser_values() {
  PoseGraph graph = noisy_graph(600);
  json result;
  for (const Node& node : graph.nodes) {
    result["start"].push_back(json_of(node.pose));
  }
  for (const Edge& edge : graph.edges) {
    result["edges"].push_back({{"from", edge.from},
                               {"to", edge.to},
                               {"relative", json_of(edge.relative)},
                               {"information", json_of(edge.information)}});
  }
  OptimiserOptions options;
  options.closure_robust_ratio = 0.0;  // plain least squares, the same problem for both
  options.function_tolerance = 1e-12;
  // The quickest of three, as of scipy: the first one also waits for Ceres to be linked and its pages to be read.
  const PoseGraph start = graph;
  OptimiserSummary summary;
  std::chrono::duration<double> seconds(std::numeric_limits<double>::infinity());
  for (int i = 0; i < 3; ++i) {
    graph = start;
    const auto begin = std::chrono::steady_clock::now();
    summary = optimise(graph, options);
    seconds = std::min<std::chrono::duration<double>>(seconds, std::chrono::steady_clock::now() - begin);
  }
  for (const Node& node : graph.nodes) {
    result["end"].push_back(json_of(node.pose));
  }
  result["cost"] = summary.cost_by_iteration.back();
  result["start_cost"] = summary.cost_by_iteration.front();
  result["seconds"] = seconds.count();
  return result;
}

/// A path with straights, bends and narrow turns that comes back, and one that drifts from it, at times of its own
/// and in a frame of its own.
json path_errors() {
  std::mt19937 random(17);
  std::normal_distribution<double> normal;
  std::vector<TimedPose> truth;
  std::vector<TimedPose> estimate;
  Pose2 true_pose{1.0, 2.0, 3.0};
  Pose2 drifting{-4.0, 7.0, -1.0};
  const auto row_of = [](int i, const Pose2& pose) {
    return TimedPose{0.01 * i, {pose.x_m, pose.y_m, wrap_angle(pose.heading_rad)}};
  };
  for (int i = 0; i < 24000; ++i) {
    if (i % 10 == 0) truth.push_back(row_of(i, true_pose));
    if (i % 10 == 3) estimate.push_back(row_of(i, drifting));
    const bool turns = i % 1200 >= 900;
    // Turns creep on, so that no two places are equally near to a third.
    const Tangent2 step(turns ? 0.0005 : 0.00397, 0.0,
                        turns ? (i % 7200 < 4800 ? 0.00785 : -0.00785) : 0.0004 * std::sin(0.001 * (i - i % 10)));
    true_pose = true_pose * exp(step);
    drifting = drifting * exp({1.004 * step.x() + 0.00015 * normal(random), 0.0001 * normal(random),
                               1.01 * step.z() - 0.003 * step.x() + 0.0001 * normal(random)});
  }
  const PathComparison comparison = compare_path("drifting", estimate, truth);
  json result;
  for (const TimedPose& row : truth) result["truth"].push_back({row.time_s, json_of(row.pose)});
  for (const TimedPose& row : estimate) result["estimate"].push_back({row.time_s, json_of(row.pose)});
  for (const NamedFigure& figure : figures_of(comparison)) result["figures"][figure.name] = figure.value;
  const RelationOptions relations;
  const DriftRateOptions drift;
  result["options"] = {{"spacing_m", relations.spacing_m}, {"spacing_rad", relations.spacing_rad},
                       {"near_m", relations.near_m},       {"way_between_m", relations.way_between_m},
                       {"stretch_m", drift.stretch_m},     {"stretch_rad", drift.stretch_rad}};
  return result;
}

/// A map with cells of every kind, small enough to look at.
void write_small_map(const std::string& folder) {
  Drive drive;
  drive.name = "a drive: \"odd\" name, # and all";
  drive.checksum = "0123abcd";
  Map map;
  map.grid.frame = {0.05, -3, 7, 13, 5};
  for (int cell = 0; cell < 13 * 5; ++cell) {
    map.grid.probability.push_back(cell % 9 == 8 ? std::numeric_limits<float>::quiet_NaN()
                                                 : static_cast<float>(cell) / 64.0F);
  }
  for (std::size_t i = 0; i < 3; ++i) {
    drive.scans.push_back({static_cast<double>(i), {{0.1F, 2.0F, 0.0F}, {0.2F, 2.5F, 0.01F}}});
    Node node;
    node.scan = i;
    node.time_s = static_cast<double>(i);
    node.pose = {0.5 * static_cast<double>(i), 0.25, 0.125};
    node.covariance = 1e-4 * Eigen::Matrix3d::Identity();
    map.graph.nodes.push_back(node);
    map.trajectory.push_back({node.time_s, node.pose, node.pose, 1});
  }
  map.graph.edges.push_back({EdgeKind::match, 0, 1, {0.5, 0.0, 0.0}, 1e4 * Eigen::Matrix3d::Identity()});
  map.candidates.push_back({0, 2, {1, 0, 0}, {1, 0.01, 0}, 0.8, 0.01, 1.5, Verdict::accepted, "fits"});
  map.wall_pieces.push_back({{1.0, 2.0}, 0.5, 0.15, 0.003, 40, 6});
  write_map(map, drive, {"1.0.0", true, true}, folder, true);
}

/// Constants over drives: some that stay, some that drift, some that step, with odd ones among them.
json changes() {
  std::mt19937 random(17);
  std::normal_distribution<double> noise(0.0, 1.0);
  json result = json::array();
  for (int trial = 0; trial < 60; ++trial) {
    const int count = 6 + 3 * trial;
    std::vector<UncertainValue> values;
    json rows = json::array();
    for (int i = 0; i < count; ++i) {
      const double sd = 1e-3 * (1.0 + i % 3);
      const double moved = trial % 3 == 1 ? 2e-3 * i : (trial % 3 == 2 && i >= count / 2 ? 0.02 : 0.0);
      values.push_back({0.3 + moved + sd * noise(random) + (trial % 3 == 0 && i == 4 ? 0.1 : 0.0), sd});
      rows.push_back({values.back().value, sd});
    }
    const CommonValue common = common_value(values);
    const OrderedChange change = ordered_change(values, 0.01);
    result.push_back({{"values", rows},
                      {"middle", common.middle},
                      {"spread", common.spread},
                      {"odd", odd_values(values, 0.001)},
                      {"kind", static_cast<int>(change.kind)},
                      {"before", change.before},
                      {"after", change.after},
                      {"sd", change.sd},
                      {"first", change.first}});
  }
  return result;
}

int run(const std::vector<std::string>& arguments) {
  const std::string what = arguments.empty() ? "" : arguments.front();
  if (what == "chi_squared") {
    std::cout << chi_squared_values() << '\n';
  } else if (what == "arcs") {
    std::cout << arcs() << '\n';
  } else if (what == "nearest_lines") {
    std::cout << nearest_lines() << '\n';
  } else if (what == "optimiser") {
    std::cout << optimiser_values() << '\n';
  } else if (what == "path_errors") {
    std::cout << path_errors() << '\n';
  } else if (what == "changes") {
    std::cout << changes() << '\n';
  } else if (what == "map" && arguments.size() == 2) {
    write_small_map(arguments[1]);
  } else {
    std::cerr
        << "reference_values chi_squared | arcs | nearest_lines | optimiser | path_errors | changes | map FOLDER\n";
    return 2;
  }
  return 0;
}

}  // namespace
}  // namespace wainscot

int main(int argc, char** argv) { return wainscot::run({argv + 1, argv + argc}); }
