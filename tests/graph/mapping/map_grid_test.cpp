#include "graph/mapping/map_grid.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include <gtest/gtest.h>

#include "tests/graph/scene.hpp"

namespace wainscot {
namespace {

struct Drawn {
  Drive drive;
  OccupancyGrid grid;

  explicit Drawn(double cell_size_m, const std::vector<Pose2>& poses = {
                                         {-0.5, 0.1, 0.4}, {0.2, -0.3, 2.0}, {0.6, 0.2, -1.1}, {-0.8, -0.6, 0.9}}) {
    drive.robot.lidar = still_lidar();
    std::vector<ScanPose> scans;
    for (const Pose2& pose : poses) {
      ScanPose scan;
      scan.scan = scans.size();
      scan.pose = pose;
      scans.push_back(scan);
      for (const RasterBeam& beam : beams(scan)) scans.back().seen.extend(Eigen::Vector2d(beam.end_x_m, beam.end_y_m));
    }
    grid = draw_grid(drive, scans, beams, range_noise(drive.robot.lidar), cell_size_m).grid;
  }

  static std::vector<RasterBeam> beams(const ScanPose& scan) {
    const Eigen::Vector2f origin = scan.pose.translation().cast<float>();
    std::vector<RasterBeam> result;
    for (const ScanPoint& p : keyframe_at(crooked_room(), scan.pose).points) {
      const Eigen::Vector2f end = (scan.pose * Eigen::Vector2d(p.x_m, p.y_m)).cast<float>();
      const float cosine = std::abs(p.normal_x * p.beam_x + p.normal_y * p.beam_y);
      result.push_back({origin.x(), origin.y(), end.x(), end.y(), true, cosine});
    }
    return result;
  }

  float at(double x_m, double y_m) const {
    const GridFrame& f = grid.frame;
    const auto column = static_cast<std::int32_t>(std::floor(x_m / f.cell_size_m)) - f.first_column;
    const auto row = static_cast<std::int32_t>(std::floor(y_m / f.cell_size_m)) - f.first_row;
    return grid.probability.at(static_cast<std::size_t>(row * f.columns + column));
  }
};

TEST(MapGrid, WallsAreOccupiedFloorIsFreeAndBehindIsUnknown) {
  const Drawn drawn(0.05);
  for (const double x : {-1.5, 0.0, 1.0, 2.0}) {
    const float here = std::fmax(drawn.at(x, -2.02), drawn.at(x, -1.98));  // the wall lies on a border of cells
    EXPECT_GT(here, 0.5F) << "south wall at " << x;
  }
  EXPECT_LT(drawn.at(0.0, 0.0), 0.5F);
  EXPECT_LT(drawn.at(-1.0, 1.0), 0.5F);
  EXPECT_TRUE(std::isnan(drawn.at(2.0, 1.5)));  // behind the corner that is cut out
  EXPECT_TRUE(std::isnan(drawn.at(0.0, -2.3)));
}

TEST(MapGrid, EveryOccupiedCellIsAtAWall) {
  const Drawn drawn(0.05);
  const GridFrame& f = drawn.grid.frame;
  int occupied = 0;
  for (std::int32_t row = 0; row < f.rows; ++row) {
    for (std::int32_t column = 0; column < f.columns; ++column) {
      if (!(drawn.grid.probability[static_cast<std::size_t>(row * f.columns + column)] > 0.5F)) continue;
      ++occupied;
      const Eigen::Vector2d centre((f.first_column + column + 0.5) * 0.05, (f.first_row + row + 0.5) * 0.05);
      double nearest = 1e9;
      for (const auto& [a, b] : crooked_room()) {
        const double part = std::clamp((centre - a).dot(b - a) / (b - a).squaredNorm(), 0.0, 1.0);
        nearest = std::min(nearest, (a + part * (b - a) - centre).norm());
      }
      EXPECT_LT(nearest, 0.075);
    }
  }
  EXPECT_GT(occupied, 250);  // 17 m of wall in cells of 5 cm
}

TEST(MapGrid, FrameCoversEverythingWithAMargin) {
  for (const double cell : {0.02, 0.05, 0.2}) {
    const Drawn drawn(cell);
    const GridFrame& f = drawn.grid.frame;
    EXPECT_EQ(f.cell_size_m, cell);
    EXPECT_LE(f.lower_left_corner_m().x(), -2.5 - 0.5 + 1e-3);
    EXPECT_LE(f.lower_left_corner_m().y(), -2.0 - 0.5 + 1e-3);
    EXPECT_GE(f.lower_left_corner_m().x() + f.columns * cell, 2.5 + 0.5 - 1e-3);
    EXPECT_GE(f.lower_left_corner_m().y() + f.rows * cell, 2.0 + 0.5 - 1e-3);
    EXPECT_LE(f.columns * cell, 6.0 + 3.0 * cell);
    EXPECT_EQ(drawn.grid.probability.size(), static_cast<std::size_t>(f.columns) * static_cast<std::size_t>(f.rows));
  }
}

}  // namespace
}  // namespace wainscot
