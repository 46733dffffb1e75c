#include "graph/map_grid.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>

#include <Eigen/Geometry>

#include "core/rasteriser.hpp"

namespace wainscot {
namespace {

constexpr double kMarginM = 0.5;

/// A visit ends where the robot has gone this far from where the visit began: evidence from one spot is not
/// independent.
constexpr double kVisitM = 1.5;

std::vector<RasterBeam> beams_of(const ScanPose& scan) {
  const double c = std::cos(scan.pose.heading_rad);
  const double s = std::sin(scan.pose.heading_rad);
  std::vector<RasterBeam> beams;
  beams.reserve(scan.points.size());
  for (const ScanPoint& p : scan.points) {
    const double x = scan.pose.x_m + c * p.x_m - s * p.y_m;
    const double y = scan.pose.y_m + s * p.x_m + c * p.y_m;
    const double beam_x = c * p.beam_x - s * p.beam_y;
    const double beam_y = s * p.beam_x + c * p.beam_y;
    const float cosine = p.normal_x * p.beam_x + p.normal_y * p.beam_y;
    beams.push_back({static_cast<float>(x - p.range_m * beam_x), static_cast<float>(y - p.range_m * beam_y),
                     static_cast<float>(x), static_cast<float>(y), true, std::abs(cosine)});
  }
  return beams;
}

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

double fraction_on_walls(const OccupancyGrid& grid, const std::vector<ScanPose>& scans) {
  constexpr std::size_t kEveryNth = 4;  // a quarter of the scans tells as much
  std::size_t all = 0;
  std::size_t on_walls = 0;
  for (std::size_t i = 0; i < scans.size(); i += kEveryNth) {
    const double c = std::cos(scans[i].pose.heading_rad);
    const double s = std::sin(scans[i].pose.heading_rad);
    for (const ScanPoint& p : scans[i].points) {
      if (p.normal_x == 0.0F && p.normal_y == 0.0F) continue;
      ++all;
      const double x = scans[i].pose.x_m + c * p.x_m - s * p.y_m;
      const double y = scans[i].pose.y_m + s * p.x_m + c * p.y_m;
      if (near_occupied(grid, x, y)) ++on_walls;
    }
  }
  return all > 0 ? static_cast<double>(on_walls) / static_cast<double>(all) : 0.0;
}

OccupancyGrid draw_grid(const Drive& drive, const std::vector<ScanPose>& scans, double cell_size_m) {
  Eigen::AlignedBox2d box;
  for (const ScanPose& scan : scans) {
    box.extend(scan.pose.translation());
    const Eigen::Matrix2d rotation = scan.pose.rotation();
    for (const ScanPoint& p : scan.points) {
      box.extend(scan.pose.translation() + rotation * Eigen::Vector2d(p.x_m, p.y_m));
    }
  }
  RasteriserOptions options;
  options.range_noise_m = drive.robot.lidar.noise_m;
  Rasteriser rasteriser(frame_around(box, cell_size_m, kMarginM), options);
  int visit = 0;
  Eigen::Vector2d visit_begin = scans.front().pose.translation();
  for (const ScanPose& scan : scans) {
    if ((scan.pose.translation() - visit_begin).norm() > kVisitM) {
      ++visit;
      visit_begin = scan.pose.translation();
    }
    rasteriser.add_scan(beams_of(scan), visit);
  }
  return rasteriser.grid();
}

}  // namespace wainscot
