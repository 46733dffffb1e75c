#include "io/grid/grid_image.hpp"

#include <cstdint>
#include <vector>

#include <gtest/gtest.h>
#include <opencv2/imgcodecs.hpp>

#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

cv::Mat decoded(const std::string& bytes) {
  return cv::imdecode(std::vector<std::uint8_t>(bytes.begin(), bytes.end()), cv::IMREAD_UNCHANGED);
}

TEST(GridImage, EveryKindHoldsTheSameLevels) {
  const OccupancyGrid grid = sample_map().grid;
  const cv::Mat raster = decoded(grid_pgm(grid));
  for (const ImageKind kind : {ImageKind::png, ImageKind::tif, ImageKind::pgm}) {
    const cv::Mat picture = decoded(grid_image(grid, {}, kind));
    ASSERT_EQ(picture.type(), CV_8UC1);
    ASSERT_EQ(picture.size(), raster.size());
    EXPECT_EQ(cv::countNonZero(picture != raster), 0) << image_ending(kind);
  }
  EXPECT_EQ(grid_image(grid, {}, ImageKind::pgm), grid_pgm(grid));
}

TEST(GridImage, HasTheLevelsAskedFor) {
  const OccupancyGrid grid{{0.05, 0, 0, 3, 1}, {0.0F, 1.0F, std::numeric_limits<float>::quiet_NaN()}};
  const cv::Mat picture = decoded(grid_image(grid, {200, 30, 77}, ImageKind::png));
  EXPECT_EQ(picture.at<std::uint8_t>(0, 0), 30);
  EXPECT_EQ(picture.at<std::uint8_t>(0, 1), 200);
  EXPECT_EQ(picture.at<std::uint8_t>(0, 2), 77);
}

TEST(GridImage, WorldFileNamesTheMiddleOfTheUpperLeftCell) {
  EXPECT_EQ(world_file({0.05, -10, 4, 30, 20}), "0.05\n0\n0\n-0.05\n-0.475\n1.175\n");
  EXPECT_STREQ(world_file_ending(ImageKind::png), "pgw");
  EXPECT_STREQ(world_file_ending(ImageKind::tif), "tfw");
  EXPECT_STREQ(world_file_ending(ImageKind::pgm), "wld");
}

}  // namespace
}  // namespace wainscot
