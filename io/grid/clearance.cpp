#include "io/grid/clearance.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <stdexcept>

#include <fmt/format.h>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

#include "io/map_origin.hpp"
#include "io/number_text.hpp"
#include "io/picture_memory.hpp"

namespace wainscot {
namespace {

constexpr double millimetres_per_metre = 1000.0;
constexpr std::uint16_t unseen_level = 65535;
constexpr std::uint16_t farthest_level = 65534;

std::uint16_t millimetres(float distance_m) {
  if (std::isnan(distance_m)) return unseen_level;
  const double level = std::round(millimetres_per_metre * static_cast<double>(distance_m));
  return static_cast<std::uint16_t>(std::min(level, static_cast<double>(farthest_level)));
}

}  // namespace

Clearance clearance_of(const OccupancyGrid& grid) try {
  // OpenCV measures to the nearest pixel that is 0.
  cv::Mat is_no_wall(grid.frame.rows, grid.frame.columns, CV_8UC1);
  std::transform(grid.probability.begin(), grid.probability.end(), is_no_wall.begin<std::uint8_t>(), [](float p) {
    return static_cast<std::uint8_t>(static_cast<double>(p) >= clearance_wall_probability ? 0 : 1);
  });
  if (cv::countNonZero(is_no_wall) == static_cast<int>(is_no_wall.total())) {
    throw std::invalid_argument("no cell is wall");
  }
  cv::Mat cells;
  cv::distanceTransform(is_no_wall, cells, cv::DIST_L2, cv::DIST_MASK_PRECISE, CV_32F);
  Clearance result{grid.frame, {}};
  result.distance_m.reserve(grid.probability.size());
  auto distance = cells.begin<float>();
  for (const float p : grid.probability) {
    const auto metres = static_cast<float>(grid.frame.cell_size_m * static_cast<double>(*distance++));
    result.distance_m.push_back(std::isnan(p) ? std::numeric_limits<float>::quiet_NaN() : metres);
  }
  return result;
} catch (const cv::Exception& fault) {
  rethrow_picture_fault(fault);
}

std::string clearance_image(const Clearance& clearance, ImageKind kind) try {
  const bool whole = kind == ImageKind::pgm;
  cv::Mat picture(clearance.frame.rows, clearance.frame.columns, whole ? CV_16UC1 : CV_32FC1);
  auto distance = clearance.distance_m.begin();
  for (int row = picture.rows - 1; row >= 0; --row) {
    for (int column = 0; column < picture.cols; ++column, ++distance) {
      if (whole) {
        picture.at<std::uint16_t>(row, column) = millimetres(*distance);
      } else {
        picture.at<float>(row, column) = *distance;
      }
    }
  }
  std::vector<std::uint8_t> bytes;
  if (!cv::imencode(std::string(".") + image_ending(kind), picture, bytes)) {
    throw std::bad_alloc();  // a picture of known size and form is refused for nothing else
  }
  return {bytes.begin(), bytes.end()};
} catch (const cv::Exception& fault) {
  rethrow_picture_fault(fault);
}

std::string clearance_yaml(const GridFrame& frame, const std::string& raster, ImageKind kind) {
  const bool whole = kind == ImageKind::pgm;
  const Eigen::Vector2d corner = frame.lower_left_corner_m();
  return fmt::format(
      "wainscot_clearance: 1\n"
      "raster: {}\n"
      "meaning: \"from the middle of a cell to the middle of the nearest cell that is wall\"\n"
      "level_m: {}\n"
      "unseen: {}\n"
      "{}"
      "wall_probability: {}\n"
      "cell_size_m: {}\n"
      "columns: {}\n"
      "rows: {}\n"
      "lower_left_corner: {{x_m: {}, y_m: {}}}\n"
      "caution: \"{} Cells never seen have no distance; what stands in them may be near.\"\n",
      raster, whole ? "0.001" : "1", whole ? std::to_string(unseen_level) : ".nan",
      whole ? fmt::format("farthest: {}\n", farthest_level) : "", short_text(clearance_wall_probability, 3),
      short_text(frame.cell_size_m, 9), frame.columns, frame.rows, short_text(corner.x(), 9), short_text(corner.y(), 9),
      map_caution);
}

}  // namespace wainscot
