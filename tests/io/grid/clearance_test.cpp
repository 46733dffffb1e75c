#include "io/grid/clearance.hpp"

#include <cmath>
#include <cstdint>
#include <limits>
#include <stdexcept>
#include <vector>

#include <gtest/gtest.h>
#include <yaml-cpp/yaml.h>
#include <opencv2/imgcodecs.hpp>

namespace wainscot {
namespace {

constexpr float kUnseen = std::numeric_limits<float>::quiet_NaN();

/// Four columns, two rows: a wall in the lower left, one cell never seen in the upper right.
OccupancyGrid small_grid() { return {{0.5, 2, -1, 4, 2}, {0.9F, 0.1F, 0.2F, 0.0F, 0.0F, 0.1F, 0.0F, kUnseen}}; }

TEST(Clearance, IsTheDistanceFromTheNearestWall) {
  const Clearance clearance = clearance_of(small_grid());
  const std::vector<double> expected = {0.0, 0.5, 1.0, 1.5, 0.5, std::sqrt(0.5), std::sqrt(1.25)};
  ASSERT_EQ(clearance.distance_m.size(), 8u);
  for (std::size_t i = 0; i < expected.size(); ++i) EXPECT_NEAR(clearance.distance_m[i], expected[i], 1e-6) << i;
  EXPECT_TRUE(std::isnan(clearance.distance_m[7]));
}

TEST(Clearance, NeedsAWall) { EXPECT_THROW(clearance_of({{0.5, 0, 0, 2, 1}, {0.1F, kUnseen}}), std::invalid_argument); }

TEST(Clearance, ImagesHoldMetresOrMillimetres) {
  const Clearance clearance = clearance_of(small_grid());
  const auto decoded = [&](ImageKind kind) {
    const std::string bytes = clearance_image(clearance, kind);
    return cv::imdecode(std::vector<std::uint8_t>(bytes.begin(), bytes.end()), cv::IMREAD_UNCHANGED);
  };
  const cv::Mat metres = decoded(ImageKind::tif);
  ASSERT_EQ(metres.type(), CV_32FC1);
  EXPECT_FLOAT_EQ(metres.at<float>(1, 3), 1.5F);
  EXPECT_TRUE(std::isnan(metres.at<float>(0, 3)));
  const cv::Mat millimetres = decoded(ImageKind::pgm);
  ASSERT_EQ(millimetres.type(), CV_16UC1);
  EXPECT_EQ(millimetres.at<std::uint16_t>(1, 3), 1500);
  EXPECT_EQ(millimetres.at<std::uint16_t>(0, 1), 707);
  EXPECT_EQ(millimetres.at<std::uint16_t>(0, 3), 65535);
}

TEST(Clearance, WhatIsTooFarForSixteenBitsIsNotUnseen) {
  const std::string bytes = clearance_image({{1.0, 0, 0, 1, 1}, {80.0F}}, ImageKind::pgm);
  const cv::Mat picture = cv::imdecode(std::vector<std::uint8_t>(bytes.begin(), bytes.end()), cv::IMREAD_UNCHANGED);
  EXPECT_EQ(picture.at<std::uint16_t>(0, 0), 65534);
}

TEST(Clearance, SidecarSaysUnitsAndCaution) {
  const YAML::Node tif = YAML::Load(clearance_yaml(small_grid().frame, "c.tif", ImageKind::tif));
  EXPECT_EQ(tif["wainscot_clearance"].as<int>(), 1);
  EXPECT_EQ(tif["raster"].as<std::string>(), "c.tif");
  EXPECT_EQ(tif["level_m"].as<double>(), 1.0);
  EXPECT_TRUE(std::isnan(tif["unseen"].as<double>()));
  EXPECT_EQ(tif["lower_left_corner"]["x_m"].as<double>(), 1.0);
  EXPECT_NE(tif["caution"].as<std::string>().find("2D lidar"), std::string::npos);
  const YAML::Node pgm = YAML::Load(clearance_yaml(small_grid().frame, "c.pgm", ImageKind::pgm));
  EXPECT_EQ(pgm["level_m"].as<double>(), 0.001);
  EXPECT_EQ(pgm["unseen"].as<int>(), 65535);
}

}  // namespace
}  // namespace wainscot
