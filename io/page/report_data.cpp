#include "io/page/report_data.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "graph/compare/node_points.hpp"
#include "graph/compare/standing_pieces.hpp"
#include "graph/edge_residuals.hpp"
#include "graph/known/passing.hpp"
#include "io/number_text.hpp"
#include "io/packed_numbers.hpp"

namespace wainscot {
namespace {

using Json = nlohmann::ordered_json;

Json table_json(const PackedTable& table) {
  Json columns = Json::array();
  for (const PackedTable::Column& column : table.columns()) columns.push_back({column.name, column.unit});
  return {{"columns", columns}, {"rows", table.rows()}, {"packed", base64(table.bytes())}};
}

Json trajectory_json(const std::vector<TrajectoryRow>& trajectory) {
  // Far finer than the centimetres that the page shows: rounded twice, a place would be off by more than half of one.
  PackedTable table({{"time_s", 1e-3},
                     {"x_m", 1e-4},
                     {"y_m", 1e-4},
                     {"heading_rad", 1e-4},
                     {"odometry_x_m", 1e-4},
                     {"odometry_y_m", 1e-4},
                     {"odometry_heading_rad", 1e-4}});
  for (const TrajectoryRow& row : trajectory) {
    table.add_row({row.time_s, row.pose.x_m, row.pose.y_m, row.pose.heading_rad, row.odometry.x_m, row.odometry.y_m,
                   row.odometry.heading_rad});
  }
  return table_json(table);
}

Json nodes_json(const Map& map) {
  PackedTable table({{"time_s", 1e-3},
                     {"x_m", 1e-3},
                     {"y_m", 1e-3},
                     {"heading_rad", 1e-4},
                     {"xx_m2", 1e-8},
                     {"xy_m2", 1e-8},
                     {"yy_m2", 1e-8},
                     {"heading_sd_rad", 1e-6}});
  for (const Node& node : map.graph.nodes) {
    const Eigen::Matrix2d turn = node.pose.rotation();
    const Eigen::Matrix2d c = turn * node.covariance.topLeftCorner<2, 2>() * turn.transpose();
    table.add_row({node.time_s, node.pose.x_m, node.pose.y_m, node.pose.heading_rad, c(0, 0), c(0, 1), c(1, 1),
                   std::sqrt(std::max(0.0, node.covariance(2, 2)))});
  }
  return table_json(table);
}

using PointsOfNode = std::vector<std::vector<ScanPoint>>;

/// One scan's returns, those left out that are nearer than `spacing_m` to the last one kept.
std::vector<std::uint8_t> packed_scan(const std::vector<ScanPoint>& points, double spacing_m) {
  PackedTable table({{"x_m", 0.01}, {"y_m", 0.01}});
  const ScanPoint* last = nullptr;
  for (const ScanPoint& point : points) {
    if (last != nullptr &&
        std::hypot(static_cast<double>(point.x_m - last->x_m), static_cast<double>(point.y_m - last->y_m)) < spacing_m)
      continue;
    table.add_row({static_cast<double>(point.x_m), static_cast<double>(point.y_m)});
    last = &point;
  }
  return table.bytes();
}

Json scans_json(const PointsOfNode& points_of_node, const ReportDataOptions& options) {
  constexpr double widest_spacing_m = 0.3;
  double spacing_m = options.spacing_m;
  std::size_t every = 1;
  while (true) {
    PackedTable lengths({{"bytes", 1.0}});
    std::vector<std::uint8_t> all;
    for (std::size_t i = 0; i < points_of_node.size(); ++i) {
      const std::vector<std::uint8_t> one =
          i % every == 0 ? packed_scan(points_of_node[i], spacing_m) : std::vector<std::uint8_t>{};
      lengths.add_row({static_cast<double>(one.size())});
      all.insert(all.end(), one.begin(), one.end());
    }
    if (all.size() / 3 * 4 <= options.most_scan_bytes || every > points_of_node.size()) {
      return {
          {"spacing_m", spacing_m}, {"every", every}, {"bytes_of_node", table_json(lengths)}, {"packed", base64(all)}};
    }
    if (spacing_m < widest_spacing_m) {
      spacing_m *= 1.5;
    } else {
      every *= 2;
    }
  }
}

/// Those that have gone since are there for the early scans that lie on them.
Json pieces_json(const Map& map) {
  PackedTable table(
      {{"x_m", 1e-4}, {"y_m", 1e-4}, {"normal_rad", 1e-4}, {"half_length_m", 1e-3}, {"sd_m", 1e-5}, {"stands", 1.0}});
  for (const WallPiece& piece : map.wall_pieces) {
    table.add_row({piece.middle_m.x(), piece.middle_m.y(), piece.normal_rad, piece.half_length_m, piece.sd_m,
                   stands(piece, map.grid) ? 1.0 : 0.0});
  }
  return table_json(table);
}

Json edges_json(const PoseGraph& graph) {
  PackedTable table({{"kind", 1.0},
                     {"from", 1.0},
                     {"to", 1.0},
                     {"along_m", 1e-4},
                     {"across_m", 1e-4},
                     {"turn_rad", 1e-5},
                     {"chi_squared", 0.01}});
  const std::vector<EdgeResidual> residuals = edge_residuals(graph);
  for (std::size_t i = 0; i < graph.edges.size(); ++i) {
    const Edge& edge = graph.edges[i];
    const EdgeResidual& r = residuals[i];
    table.add_row({static_cast<double>(edge.kind), static_cast<double>(edge.from), static_cast<double>(edge.to),
                   r.error.x(), r.error.y(), r.error.z(), r.chi_squared});
  }
  return table_json(table);
}

/// The candidates, and the text of each reason once. Their relations were matched with the lidar mounted as robot.yaml
/// has it, the page's returns lie where it was found to be: `carry` is the found mounting * the inverse of the stated
/// one.
std::pair<Json, Json> candidates_json(const std::vector<LoopCandidate>& candidates, const Pose2& carry) {
  PackedTable table({{"from", 1.0},
                     {"to", 1.0},
                     {"predicted_x_m", 1e-3},
                     {"predicted_y_m", 1e-3},
                     {"predicted_heading_rad", 1e-4},
                     {"found_x_m", 1e-3},
                     {"found_y_m", 1e-3},
                     {"found_heading_rad", 1e-4},
                     {"overlap", 1e-3},
                     {"contradiction", 1e-3},
                     {"chi_squared", 0.01},
                     {"accepted", 1.0},
                     {"reason", 1.0}});
  Json reasons = Json::array();
  std::map<std::string, std::size_t> place_of_reason;
  for (const LoopCandidate& c : candidates) {
    const auto [reason, is_new] = place_of_reason.emplace(c.reason, place_of_reason.size());
    if (is_new) reasons.push_back(c.reason);
    const Pose2 predicted = carry * c.predicted * inverse(carry);
    const Pose2 found = carry * c.found * inverse(carry);
    table.add_row({static_cast<double>(c.from), static_cast<double>(c.to), predicted.x_m, predicted.y_m,
                   predicted.heading_rad, found.x_m, found.y_m, found.heading_rad, c.overlap, c.contradiction,
                   c.chi_squared, c.verdict == Verdict::accepted ? 1.0 : 0.0, static_cast<double>(reason->second)});
  }
  return {table_json(table), reasons};
}

std::string change_text(const Change& c) {
  const std::string what = c.door ? "a door" : "a thing";
  if (c.since_drive == 0) return what + (c.door ? ", seen open and closed" : " that was moved");
  return fmt::format("{} {} since drive {}", what, c.appeared ? "new" : "gone", c.since_drive);
}

Json changes_json(const std::vector<Change>& changes) {
  Json list = Json::array();
  for (const Change& c : changes) {
    list.push_back({{"door", c.door},
                    {"kind", c.since_drive == 0 ? ""
                             : c.appeared       ? "new"
                                                : "gone"},
                    {"text", change_text(c)},
                    {"from_m", {rounded(c.from_m.x(), 3), rounded(c.from_m.y(), 3)}},
                    {"to_m", {rounded(c.to_m.x(), 3), rounded(c.to_m.y(), 3)}}});
  }
  return list;
}

Json passing_json(const Map& map, const PointsOfNode& points_of_node) {
  // What changed is told apart from what passed.
  OccupancyGrid grid = map.grid;
  for (const Change& change : map.changes) {
    for (const std::size_t cell : change.cells) grid.probability.at(cell) = 1.0F;
  }
  PackedTable table({{"node", 1.0}, {"x_m", 0.01}, {"y_m", 0.01}, {"width_m", 0.01}});
  for (std::size_t i = 0; i < points_of_node.size(); ++i) {
    std::vector<Eigen::Vector2d> returns_m;
    returns_m.reserve(points_of_node[i].size());
    for (const ScanPoint& point : points_of_node[i]) {
      const Eigen::Vector2d in_robot(static_cast<double>(point.x_m), static_cast<double>(point.y_m));
      returns_m.emplace_back(map.graph.nodes[i].pose * in_robot);
    }
    for (const Passing& thing : find_passing(grid, returns_m)) {
      table.add_row({static_cast<double>(i), thing.middle_m.x(), thing.middle_m.y(), thing.width_m});
    }
  }
  return table_json(table);
}

}  // namespace

std::string report_data(const Map& map, Drives drives, const ReportDataOptions& options) {
  const LidarModel lidar = found_lidar(map, drives.front().robot);
  PointsOfNode points_of_node;
  for (std::size_t i = 0; i < map.graph.nodes.size(); ++i) {
    points_of_node.push_back(
        node_points(map, drives[static_cast<std::size_t>(map.graph.nodes[i].drive) - 1], lidar, i));
  }
  const Pose2 carry = lidar.mounting * inverse(lidar_model(drives.front().robot.lidar).mounting);
  auto [candidates, reasons] = candidates_json(map.candidates, carry);
  Json data = {{"cell_size_m", map.grid.frame.cell_size_m},
               {"scale_sd", std::isfinite(map.quality.scale_sd) ? rounded(map.quality.scale_sd, 7) : 0.0},
               {"trajectory", trajectory_json(map.trajectory)},
               {"nodes", nodes_json(map)},
               {"scans", scans_json(points_of_node, options)},
               {"pieces", pieces_json(map)},
               {"edges", edges_json(map.graph)},
               {"candidates", std::move(candidates)},
               {"reasons", std::move(reasons)},
               {"changes", changes_json(map.changes)},
               {"passing", passing_json(map, points_of_node)}};
  return data.dump(-1, ' ', true, Json::error_handler_t::replace);
}

}  // namespace wainscot
