#include "graph/map_grid.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>

#include <Eigen/Geometry>

#include "core/rasteriser.hpp"

namespace wainscot {
namespace {

constexpr double kMarginM = 0.5;
constexpr double kFarM = 10.0;

/// A visit ends where the robot has gone this far from where the visit began: evidence from one spot is not
/// independent.
constexpr double kVisitM = 1.5;

bool near_occupied(const OccupancyGrid& grid, double x_m, double y_m) {
  const GridFrame& frame = grid.frame;
  const auto column = static_cast<std::int32_t>(std::floor(x_m / frame.cell_size_m)) - frame.first_column;
  const auto row = static_cast<std::int32_t>(std::floor(y_m / frame.cell_size_m)) - frame.first_row;
  for (std::int32_t r = std::max(row - 1, 0); r <= std::min(row + 1, frame.rows - 1); ++r) {
    for (std::int32_t c = std::max(column - 1, 0); c <= std::min(column + 1, frame.columns - 1); ++c) {
      const std::size_t cell =
          static_cast<std::size_t>(r) * static_cast<std::size_t>(frame.columns) + static_cast<std::size_t>(c);
      if (grid.probability[cell] > 0.5F) return true;
    }
  }
  return false;
}

}  // namespace

double fraction_on_walls(const OccupancyGrid& grid, const std::vector<ScanPose>& scans, const BeamsOfScan& beams_of) {
  constexpr std::size_t kEveryNth = 8;  // an eighth of the scans tells as much
  std::size_t all = 0;
  std::size_t on_walls = 0;
  for (std::size_t i = 0; i < scans.size(); i += kEveryNth) {
    for (const RasterBeam& beam : beams_of(scans[i])) {
      if (!beam.hit || beam.incidence_cosine == 0.0F) continue;
      ++all;
      if (near_occupied(grid, beam.end_x_m, beam.end_y_m)) ++on_walls;
    }
  }
  return all > 0 ? static_cast<double>(on_walls) / static_cast<double>(all) : 0.0;
}

DrawnGrid draw_grid(const Drive& drive, const std::vector<ScanPose>& scans, const BeamsOfScan& beams_of,
                    double cell_size_m, const std::vector<std::size_t>& watched) {
  Eigen::AlignedBox2d box;
  for (const ScanPose& scan : scans) {
    box.extend(scan.pose.translation());
    box.extend(scan.seen);
  }
  RasteriserOptions options;
  // Of the far returns: theirs is the tail that would stand behind a wall as a second one.
  const LidarConstants& lidar = drive.robot.lidar;
  options.range_noise_m = lidar.noise_m + lidar.noise_per_m * std::min(0.7 * lidar.max_range_m, kFarM);
  const GridFrame frame = frame_around(box, cell_size_m, kMarginM);
  Rasteriser rasteriser(frame, options);
  for (const std::size_t cell : watched) {
    const auto columns = static_cast<std::size_t>(frame.columns);
    rasteriser.watch(static_cast<std::int32_t>(cell % columns), static_cast<std::int32_t>(cell / columns));
  }
  int visit = 0;
  Eigen::Vector2d visit_begin = scans.front().pose.translation();
  for (const ScanPose& scan : scans) {
    if ((scan.pose.translation() - visit_begin).norm() > kVisitM) {
      ++visit;
      visit_begin = scan.pose.translation();
    }
    rasteriser.add_scan(beams_of(scan), visit);
  }
  DrawnGrid drawn{rasteriser.grid(), find_changes(frame, rasteriser.changed_cells()), rasteriser.histories()};
  soften_doors(drawn.changes, drawn.grid);
  return drawn;
}

}  // namespace wainscot
