#include "io/draw/map_picture.hpp"

#include <cmath>
#include <limits>

#include <gtest/gtest.h>
#include <opencv2/imgcodecs.hpp>

#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

TEST(MapPicture, ScaleBarIsOneTwoOrFive) {
  EXPECT_DOUBLE_EQ(scale_bar_m(10.0), 2.0);
  EXPECT_DOUBLE_EQ(scale_bar_m(20.0), 5.0);
  EXPECT_DOUBLE_EQ(scale_bar_m(4.0), 1.0);
  EXPECT_NEAR(scale_bar_m(0.5), 0.1, 1e-12);
  EXPECT_DOUBLE_EQ(scale_bar_m(300.0), 50.0);
}

TEST(MapPicture, GridIsAPixelACellAndUnseenIsTransparent) {
  const cv::Mat picture = cv::imdecode(grid_png(sample_map().grid), cv::IMREAD_UNCHANGED);
  ASSERT_EQ(picture.type(), CV_8UC4);
  ASSERT_EQ(picture.cols, 3);
  ASSERT_EQ(picture.rows, 2);
  EXPECT_EQ(picture.at<cv::Vec4b>(0, 0), cv::Vec4b(0, 0, 0, 0));
  EXPECT_EQ(picture.at<cv::Vec4b>(1, 0), cv::Vec4b(255, 255, 255, 255));
  EXPECT_EQ(picture.at<cv::Vec4b>(1, 2), cv::Vec4b(0, 0, 0, 255));
}

// A wall cell one metre right of the start and half a metre up: the picture is dark just there.
TEST(MapPicture, WallsStandWhereTheyAre) {
  OccupancyGrid grid{{0.1, 0, 0, 11, 6}, std::vector<float>(66, 0.0F)};
  grid.probability[5 * 11 + 10] = 1.0F;
  PictureOptions options;
  options.width_px = 600;
  options.margin_m = 0.0;
  const cv::Mat picture = cv::imdecode(map_picture_png(grid, {}, {}, options), cv::IMREAD_COLOR);
  const int cell_px = 600 / 11;
  const auto brightness = [&](int column, int row_from_top) {
    const cv::Vec3b colour =
        picture.at<cv::Vec3b>(row_from_top * cell_px + cell_px / 2, column * cell_px + cell_px / 2);
    return (colour[0] + colour[1] + colour[2]) / 3;
  };
  EXPECT_LT(brightness(10, 0), 80);
  EXPECT_GT(brightness(9, 0), 240);
  EXPECT_GT(brightness(10, 1), 240);
}

// However small the map is drawn, the word "simulated" at the legend's end stands in the picture: with it the picture
// is wider, and its right border is bare.
TEST(MapPicture, ANarrowPictureShowsTheWholeLegend) {
  const OccupancyGrid grid{{0.05, 0, 0, 200, 6}, std::vector<float>(1200, 0.0F)};
  for (const int width_px : {300, 600, 800, 1000}) {
    PictureOptions options;
    options.width_px = width_px;
    options.simulated = false;
    const cv::Mat plain = cv::imdecode(map_picture_png(grid, {}, {}, options), cv::IMREAD_GRAYSCALE);
    options.simulated = true;
    const cv::Mat marked = cv::imdecode(map_picture_png(grid, {}, {}, options), cv::IMREAD_GRAYSCALE);
    const auto ink = [](const cv::Mat& picture) {
      const cv::Mat legend = picture.rowRange(picture.rows - 56, picture.rows);
      return cv::countNonZero(legend < 128);
    };
    EXPECT_GT(ink(marked), ink(plain) + 100) << width_px;
    const cv::Mat legend = marked.rowRange(marked.rows - 56, marked.rows);
    EXPECT_EQ(cv::countNonZero(legend.colRange(legend.cols - 5, legend.cols) < 128), 0) << width_px;
  }
}

TEST(MapPicture, DrawsAnEmptyMap) {
  const OccupancyGrid nothing{{0.05, 0, 0, 0, 0}, {}};
  EXPECT_FALSE(cv::imdecode(map_picture_png(nothing, {}, {}, {}), cv::IMREAD_COLOR).empty());
}

}  // namespace
}  // namespace wainscot
