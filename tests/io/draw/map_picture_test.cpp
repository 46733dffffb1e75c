#include "io/draw/map_picture.hpp"

#include <algorithm>
#include <cstddef>
#include <string_view>
#include <vector>

#include <gtest/gtest.h>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

#include "io/draw/palette.hpp"
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

// One wall cell among nine by nine: of three by three pixels the middle one is wall, of one pixel the whole.
TEST(MapPicture, ASmallGridKeepsItsWalls) {
  OccupancyGrid grid{{0.05, 0, 0, 8, 9}, std::vector<float>(72, 0.0F)};
  grid.probability[4 * 8 + 4] = 1.0F;
  const cv::Mat picture = cv::imdecode(grid_png(grid, 3), cv::IMREAD_UNCHANGED);
  ASSERT_EQ(picture.size(), cv::Size(3, 3));
  EXPECT_EQ(picture.at<cv::Vec4b>(1, 1), cv::Vec4b(0, 0, 0, 255));
  EXPECT_EQ(picture.at<cv::Vec4b>(0, 2), cv::Vec4b(255, 255, 255, 255));
  EXPECT_EQ(cv::imdecode(grid_png(grid, 16), cv::IMREAD_UNCHANGED).at<cv::Vec4b>(0, 0), cv::Vec4b(0, 0, 0, 255));
}

/// How many pixels are about of a colour of the palette.
int pixels_of(const cv::Mat& picture, std::string_view name) {
  const Colour c = named_colour(name).on_light;
  const cv::Scalar middle(c.blue, c.green, c.red);
  cv::Mat near;
  cv::inRange(picture, middle - cv::Scalar::all(3), middle + cv::Scalar::all(3), near);
  return cv::countNonZero(near);
}

// A wall of one cell over 100 m: a pixel of the picture is a cell, and the wall takes two.
TEST(MapPicture, WallsOfALargeBuildingAreTwoPixelsThick) {
  OccupancyGrid grid{{0.05, 0, 0, 2000, 40}, std::vector<float>(80000, 0.0F)};
  for (std::size_t cell = 20 * 2000; cell < 21 * 2000; ++cell) grid.probability[cell] = 1.0F;
  PictureOptions options;
  options.width_px = 1400;
  const cv::Mat picture = cv::imdecode(map_picture_png(grid, {}, {}, options), cv::IMREAD_COLOR);
  const cv::Mat column = picture.col(56 + 1000).rowRange(0, picture.rows - 56 - 26);
  EXPECT_EQ(pixels_of(column, "wall"), 2);
}

// Odometry is dashed as in the style sheet, six pixels of eleven; each drive has its own colour.
TEST(MapPicture, LinesHaveTheirMeanings) {
  const OccupancyGrid grid{{0.05, 0, 0, 200, 60}, std::vector<float>(12000, 0.0F)};
  const std::vector<std::vector<Pose2>> paths = {{{1.0, 0.5, 0.0}, {9.0, 0.5, 0.0}},
                                                 {{1.0, 1.0, 0.0}, {9.0, 1.0, 0.0}}};
  const std::vector<std::vector<Pose2>> odometry = {{{1.0, 2.0, 0.0}, {9.0, 2.0, 0.0}}};
  PictureOptions options;
  options.odometry = false;
  const cv::Mat without = cv::imdecode(map_picture_png(grid, paths, odometry, options), cv::IMREAD_COLOR);
  EXPECT_EQ(pixels_of(without, "odometry"), 0);
  options.odometry = true;
  const cv::Mat picture = cv::imdecode(map_picture_png(grid, paths, odometry, options), cv::IMREAD_COLOR);
  EXPECT_GT(pixels_of(picture, "path"), 1000);
  EXPECT_GT(pixels_of(picture, "path-2"), 1000);
  cv::Mat row;
  const int y = static_cast<int>((3.5 - 2.0) * 20.0 * 6.0);  // 6 pixels a cell, half a metre of margin above 3 m
  cv::inRange(picture.row(y), cv::Scalar(0, 0, 200), cv::Scalar(120, 140, 255), row);
  const double share = cv::countNonZero(row) / (8.0 * 120.0);
  EXPECT_GT(share, 0.4) << y;
  EXPECT_LT(share, 0.75) << y;
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
    constexpr int gutter_px = 56;  // for the coordinates, left of the map
    const cv::Vec3b colour =
        picture.at<cv::Vec3b>(row_from_top * cell_px + cell_px / 2, gutter_px + column * cell_px + cell_px / 2);
    return (colour[0] + colour[1] + colour[2]) / 3;
  };
  EXPECT_LT(brightness(10, 0), 80);
  EXPECT_GT(brightness(9, 0), 240);
  EXPECT_GT(brightness(10, 1), 240);
}

// However small the map is drawn, the word "simulated" at the legend's end stands in the picture: it has more ink with
// it than without, and its right border is bare, from the top to the bottom. The picture is as wide as was asked for.
TEST(MapPicture, ANarrowPictureShowsTheWholeLegend) {
  const OccupancyGrid grid{{0.05, 0, 0, 200, 6}, std::vector<float>(1200, 0.0F)};
  for (const int width_px : {300, 600, 800, 1000}) {
    PictureOptions options;
    options.width_px = width_px;
    options.simulated = false;
    const cv::Mat plain = cv::imdecode(map_picture_png(grid, {}, {}, options), cv::IMREAD_GRAYSCALE);
    options.simulated = true;
    const cv::Mat marked = cv::imdecode(map_picture_png(grid, {}, {}, options), cv::IMREAD_GRAYSCALE);
    EXPECT_GT(cv::countNonZero(marked < 128), cv::countNonZero(plain < 128) + 100) << width_px;
    EXPECT_EQ(cv::countNonZero(marked.colRange(marked.cols - 5, marked.cols) < 128), 0) << width_px;
    EXPECT_LE(marked.cols, std::max(480, width_px + 60)) << width_px;
  }
}

TEST(MapPicture, DrawsAnEmptyMap) {
  const OccupancyGrid nothing{{0.05, 0, 0, 0, 0}, {}};
  EXPECT_FALSE(cv::imdecode(map_picture_png(nothing, {}, {}, {}), cv::IMREAD_COLOR).empty());
}

}  // namespace
}  // namespace wainscot
