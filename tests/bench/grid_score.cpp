#include "tests/bench/grid_score.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <map>
#include <utility>
#include <vector>

#include <Eigen/Core>

#include "apps/simulator/surfaces.hpp"
#include "tests/bench/true_pose.hpp"

namespace wainscot::bench {
namespace {

/// Points of true wall faces, and in how many scans a return came from each.
class SeenWall {
 public:
  explicit SeenWall(const simulator::Surfaces& surfaces) {
    constexpr double step_m = 0.025;
    for (const simulator::Surface& wall : surfaces.flat) {
      if (wall.kind != simulator::SurfaceKind::wall) {
        continue;
      }
      const simulator::Point along = simulator::unit(wall.to - wall.from);
      const simulator::Point normal = simulator::left_of(along);
      for (double at = 0.5 * step_m; at < simulator::norm(wall.to - wall.from); at += step_m) {
        const simulator::Point point = wall.from + at * along;
        points_.push_back({{point.x_m, point.y_m}, {normal.x_m, normal.y_m}, 0, -1});
        buckets_[bucket(points_.back().place)].push_back(points_.size() - 1);
      }
    }
  }

  /// A return of scan number `scan` from `hit`; `beam` is the beam's direction.
  void add(const Eigen::Vector2d& hit, const Eigen::Vector2d& beam, int scan) {
    Point* nearest = nullptr;
    double nearest_m = 0.1;
    const auto [column, row] = bucket(hit);
    for (int c = column - 1; c <= column + 1; ++c) {
      for (int r = row - 1; r <= row + 1; ++r) {
        const auto found = buckets_.find({c, r});
        if (found == buckets_.end()) {
          continue;
        }
        for (const std::size_t i : found->second) {
          const double distance = (points_[i].place - hit).norm();
          if (distance < nearest_m && beam.dot(points_[i].normal) < 0.0) {
            nearest_m = distance;
            nearest = &points_[i];
          }
        }
      }
    }
    if (nearest != nullptr && nearest->last_scan != scan) {
      nearest->last_scan = scan;
      ++nearest->scans;
    }
  }

  std::vector<Eigen::Vector2d> seen_at_least(int scans) const {
    std::vector<Eigen::Vector2d> result;
    for (const Point& point : points_) {
      if (point.scans >= scans) {
        result.push_back(point.place);
      }
    }
    return result;
  }

 private:
  struct Point {
    Eigen::Vector2d place;
    Eigen::Vector2d normal;
    int scans;
    int last_scan;
  };
  static std::pair<int, int> bucket(const Eigen::Vector2d& p) {
    return {static_cast<int>(std::floor(p.x() / 0.1)), static_cast<int>(std::floor(p.y() / 0.1))};
  }
  std::vector<Point> points_;
  std::map<std::pair<int, int>, std::vector<std::size_t>> buckets_;
};

/// Where the walls were really hit: true poses, the true lidar, the ranges as measured.
std::vector<Eigen::Vector2d> walls_seen_three_times(const Drive& drive, const simulator::Truth& truth) {
  SeenWall wall(truth.surfaces);
  const simulator::TrueLidar& lidar = truth.lidar;
  const Pose2 mounting{lidar.x_m, lidar.y_m, lidar.heading_rad};
  for (std::size_t scan = 0; scan < drive.scans.size(); ++scan) {
    for (const Return& beam : drive.scans[scan].returns) {
      if (beam.range_m >= static_cast<float>(drive.robot.lidar.max_range_m)) {
        continue;
      }
      const double stamp_s = drive.scans[scan].time_s + static_cast<double>(beam.time_offset_s);
      const double time_s = (stamp_s - lidar.stamp_delay_s) / (1.0 + lidar.clock_drift_rel);
      const Pose2 at = true_pose(truth.trajectory, time_s) * mounting;
      const double angle = at.heading_rad + static_cast<double>(beam.angle_rad);
      const Eigen::Vector2d direction(std::cos(angle), std::sin(angle));
      const double range = static_cast<double>(beam.range_m) / lidar.range_scale;
      wall.add(at.translation() + range * direction, direction, static_cast<int>(scan));
    }
  }
  return wall.seen_at_least(3);
}

double distance_to_faces(const std::vector<simulator::Surface>& faces, const Eigen::Vector2d& point) {
  double least = std::numeric_limits<double>::infinity();
  for (const simulator::Surface& face : faces) {
    least = std::min(least, simulator::distance_m(point_of(point), face.from, face.to));
  }
  return least;
}

bool occupied_near(const OccupancyGrid& grid, const Eigen::Vector2d& point) {
  const Eigen::Vector2d cells = (point - grid.frame.lower_left_corner_m()) / grid.frame.cell_size_m;
  const auto column = static_cast<std::int32_t>(std::floor(cells.x()));
  const auto row = static_cast<std::int32_t>(std::floor(cells.y()));
  for (std::int32_t r = std::max(row - 1, 0); r <= std::min(row + 1, grid.frame.rows - 1); ++r) {
    for (std::int32_t c = std::max(column - 1, 0); c <= std::min(column + 1, grid.frame.columns - 1); ++c) {
      if (grid.probability[static_cast<std::size_t>(r) * static_cast<std::size_t>(grid.frame.columns) +
                           static_cast<std::size_t>(c)] > 0.5F) {
        return true;
      }
    }
  }
  return false;
}

}  // namespace

GridScore score_grid(const Map& map, const Drive& drive, const simulator::Truth& truth, const Pose2& truth_from_map) {
  GridScore score;
  const Pose2 map_from_truth = inverse(truth_from_map);
  const std::vector<Eigen::Vector2d> seen = walls_seen_three_times(drive, truth);
  const auto found = std::count_if(seen.begin(), seen.end(), [&](const Eigen::Vector2d& point) {
    return occupied_near(map.grid, map_from_truth * point);
  });
  if (!seen.empty()) {
    score.recall = static_cast<double>(found) / static_cast<double>(seen.size());
  }
  const std::vector<simulator::Surface> faces = simulator::as_segments(truth.surfaces);
  const GridFrame& frame = map.grid.frame;
  int occupied = 0;
  int stray = 0;
  for (std::size_t cell = 0; cell < map.grid.probability.size(); ++cell) {
    if (map.grid.probability[cell] > 0.5F) {
      const auto columns = static_cast<std::size_t>(frame.columns);
      const Eigen::Vector2d middle(static_cast<double>(cell % columns) + 0.5,
                                   static_cast<double>(cell / columns) + 0.5);
      const Eigen::Vector2d place = frame.lower_left_corner_m() + frame.cell_size_m * middle;
      ++occupied;
      stray += distance_to_faces(faces, truth_from_map * place) > 1.5 * frame.cell_size_m ? 1 : 0;
    }
  }
  if (occupied > 0) {
    score.stray = static_cast<double>(stray) / occupied;
  }
  return score;
}

}  // namespace wainscot::bench
