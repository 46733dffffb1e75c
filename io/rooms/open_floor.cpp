#include "io/rooms/open_floor.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include <opencv2/imgproc.hpp>

#include "io/grid/clearance.hpp"
#include "io/picture_memory.hpp"

namespace wainscot {
namespace {

/// 1 for a cell that is not free, else 0. Small things are taken away.
cv::Mat walls_of(const OccupancyGrid& grid) {
  cv::Mat walls(grid.frame.rows, grid.frame.columns, CV_8UC1);
  std::transform(grid.probability.begin(), grid.probability.end(), walls.begin<std::uint8_t>(), [](float p) {
    return static_cast<std::uint8_t>(static_cast<double>(p) < clearance_wall_probability ? 0 : 1);
  });
  cv::Mat things;
  cv::Mat sizes;
  cv::Mat middles;
  cv::connectedComponentsWithStats(walls, things, sizes, middles, 8, CV_32S);
  const double most_cells = least_wall_m / grid.frame.cell_size_m;
  for (int row = 0; row < walls.rows; ++row) {
    for (int column = 0; column < walls.cols; ++column) {
      const int thing = things.at<std::int32_t>(row, column);
      const int size =
          std::max(sizes.at<std::int32_t>(thing, cv::CC_STAT_WIDTH), sizes.at<std::int32_t>(thing, cv::CC_STAT_HEIGHT));
      if (thing > 0 && size < most_cells) walls.at<std::uint8_t>(row, column) = 0;
    }
  }
  return walls;
}

}  // namespace

std::optional<std::size_t> cell_at(const GridFrame& frame, const Eigen::Vector2d& place_m) {
  const Eigen::Vector2d place = (place_m - frame.lower_left_corner_m()) / frame.cell_size_m;
  if (!(place.x() >= 0.0 && place.y() >= 0.0 && place.x() < frame.columns && place.y() < frame.rows)) {
    return std::nullopt;
  }
  return static_cast<std::size_t>(place.y()) * static_cast<std::size_t>(frame.columns) +
         static_cast<std::size_t>(place.x());
}

Eigen::Vector2d OpenFloor::middle_m(std::size_t cell) const {
  const Eigen::Vector2d place(static_cast<double>(cell % columns()) + 0.5, static_cast<double>(cell / columns()) + 0.5);
  return frame.lower_left_corner_m() + frame.cell_size_m * place;
}

bool OpenFloor::is_open(const Eigen::Vector2d& place_m) const {
  const std::optional<std::size_t> cell = cell_at(place_m);
  return cell && open[*cell];
}

OpenFloor open_floor(const OccupancyGrid& grid) try {
  const cv::Mat walls = walls_of(grid);
  if (cv::countNonZero(walls) == 0) throw std::invalid_argument("no cell is wall or unseen");
  cv::Mat distance;
  cv::distanceTransform(1 - walls, distance, cv::DIST_L2, cv::DIST_MASK_PRECISE, CV_32F);
  OpenFloor floor{grid.frame, {}, {}};
  floor.open.reserve(walls.total());
  std::transform(walls.begin<std::uint8_t>(), walls.end<std::uint8_t>(), std::back_inserter(floor.open),
                 [](std::uint8_t wall) { return wall == 0; });
  floor.clearance.assign(distance.begin<float>(), distance.end<float>());
  return floor;
} catch (const cv::Exception& fault) {
  rethrow_picture_fault(fault);
}

}  // namespace wainscot
