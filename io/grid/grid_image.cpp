#include "io/grid/grid_image.hpp"

#include <cstdint>
#include <vector>

#include <fmt/format.h>
#include <opencv2/imgcodecs.hpp>

#include "io/number_text.hpp"
#include "io/picture_memory.hpp"

namespace wainscot {

const char* image_ending(ImageKind kind) {
  switch (kind) {
    case ImageKind::png:
      return "png";
    case ImageKind::tif:
      return "tif";
    default:
      return "pgm";
  }
}

std::string grid_image(const OccupancyGrid& grid, const GreyLevels& levels, ImageKind kind) try {
  cv::Mat picture(grid.frame.rows, grid.frame.columns, CV_8UC1);
  auto probability = grid.probability.begin();
  for (int row = picture.rows - 1; row >= 0; --row) {
    for (int column = 0; column < picture.cols; ++column) {
      picture.at<std::uint8_t>(row, column) = grid_level(*probability++, levels);
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

std::string world_file(const GridFrame& frame) {
  const Eigen::Vector2d corner = frame.lower_left_corner_m();
  const double cell_m = frame.cell_size_m;
  std::string text;
  for (const double value :
       {cell_m, 0.0, 0.0, -cell_m, corner.x() + 0.5 * cell_m, corner.y() + (frame.rows - 0.5) * cell_m}) {
    text += short_text(value, 9) + "\n";
  }
  return text;
}

const char* world_file_ending(ImageKind kind) {
  switch (kind) {
    case ImageKind::png:
      return "pgw";
    case ImageKind::tif:
      return "tfw";
    default:
      return "wld";
  }
}

}  // namespace wainscot
