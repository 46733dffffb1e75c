#include "io/map/map_agreement.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <utility>

#include <fmt/format.h>
#include <Eigen/Geometry>

#include "core/errors.hpp"
#include "io/files/shown.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

/// trajectory.csv has six decimals of metres and of seconds; a clock that counts from 1970 is good to a quarter of a
/// microsecond itself.
constexpr double kRounded = 2e-6;

Eigen::AlignedBox2d box_of(const GridFrame& grid) {
  const Eigen::Vector2d corner = grid.lower_left_corner_m();
  return {corner, corner + grid.cell_size_m * Eigen::Vector2d(grid.columns, grid.rows)};
}

void require_near(const GridFrame& grid, const Eigen::Vector2d& place_m, double farthest_return_m, const char* what,
                  const fs::path& map_folder) {
  const Eigen::AlignedBox2d box = box_of(grid);
  if (box.exteriorDistance(place_m) <= farthest_return_m) return;
  throw InputError(fmt::format(
      "{}: grid.yaml says that the grid reaches from ({:.2f}, {:.2f}) m to ({:.2f}, {:.2f}) m, but {} ({:.2f}, {:.2f}) "
      "m; build the map again",
      shown(map_folder), box.min().x(), box.min().y(), box.max().x(), box.max().y(), what, place_m.x(), place_m.y()));
}

void require_node_on_path(const Node& node, std::size_t number, std::span<const TrajectoryRow> rows,
                          const fs::path& map_folder) {
  const auto before = [](const TrajectoryRow& row, const std::pair<int, double>& at) {
    return std::pair(row.drive, row.time_s) < at;
  };
  double off_m = std::numeric_limits<double>::infinity();
  Pose2 nearest;
  for (auto row = std::lower_bound(rows.begin(), rows.end(), std::pair(node.drive, node.time_s - kRounded), before);
       row != rows.end() && row->drive == node.drive && row->time_s <= node.time_s + kRounded; ++row) {
    const double here_m = (row->pose.translation() - node.pose.translation()).norm();
    if (here_m >= off_m) continue;
    off_m = here_m;
    nearest = row->pose;
  }
  if (off_m <= kRounded) return;
  const std::string node_text =
      fmt::format("graph.sqlite says that drive {} was at ({:.3f}, {:.3f}) m at {:.6f} s (node {})", node.drive,
                  node.pose.x_m, node.pose.y_m, node.time_s, number);
  if (std::isinf(off_m)) {
    throw InputError(fmt::format("{}: {}, but trajectory.csv has no row of that time; build the map again",
                                 shown(map_folder), node_text));
  }
  throw InputError(fmt::format("{}: {}, but trajectory.csv ({:.3f}, {:.3f}) m; build the map again", shown(map_folder),
                               node_text, nearest.x_m, nearest.y_m));
}

}  // namespace

void require_path_on_grid(const GridFrame& grid, std::span<const TrajectoryRow> rows, double farthest_return_m,
                          const fs::path& map_folder) {
  for (const TrajectoryRow& row : rows) {
    require_near(grid, row.pose.translation(), farthest_return_m, "trajectory.csv that the path comes to", map_folder);
  }
}

void require_graph_on_map(const Map& map, double farthest_return_m, const fs::path& map_folder) {
  for (std::size_t i = 0; i < map.graph.nodes.size(); ++i) {
    const Node& node = map.graph.nodes[i];
    require_near(map.grid.frame, node.pose.translation(), farthest_return_m, "graph.sqlite that a node stands at",
                 map_folder);
    require_node_on_path(node, i, map.trajectory, map_folder);
  }
  for (const WallPiece& piece : map.wall_pieces) {
    require_near(map.grid.frame, piece.middle_m, farthest_return_m, "graph.sqlite that a piece of wall stands at",
                 map_folder);
  }
}

}  // namespace wainscot
