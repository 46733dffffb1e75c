#include "io/grid/grid_writer.hpp"

#include <cstdint>
#include <limits>
#include <vector>

#include <gtest/gtest.h>
#include <yaml-cpp/yaml.h>
#include <opencv2/imgcodecs.hpp>

#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

TEST(GridWriter, LevelsAreTheRoundedComplement) {
  EXPECT_EQ(grid_level(0.0F), 255);
  EXPECT_EQ(grid_level(1.0F), 0);
  EXPECT_EQ(grid_level(0.25F), 191);  // 191.25
  EXPECT_EQ(grid_level(std::numeric_limits<float>::quiet_NaN()), 128);
}

TEST(GridWriter, OnlyUnseenIs128) {
  EXPECT_EQ(grid_level(0.5F), 127);    // 127.5 rounds to 128
  EXPECT_EQ(grid_level(0.498F), 127);  // 128.01
  EXPECT_EQ(grid_level(0.49F), 130);   // 130.05
  for (int i = 0; i <= 10000; ++i) EXPECT_NE(grid_level(static_cast<float>(i) / 10000.0F), 128);
}

TEST(GridWriter, LevelsMayBeOthers) {
  const GreyLevels levels{200, 20, 110};
  EXPECT_EQ(grid_level(1.0F, levels), 200);
  EXPECT_EQ(grid_level(0.0F, levels), 20);
  EXPECT_EQ(grid_level(0.25F, levels), 65);
  EXPECT_EQ(grid_level(0.5F, levels), 111);  // 110 is the unseen cells' own
  EXPECT_EQ(grid_level(std::numeric_limits<float>::quiet_NaN(), levels), 110);
  EXPECT_EQ(grid_level(0.5F, {0, 200, 255}), 100);
}

TEST(GridWriter, PgmReadsBackWithTheLargestYFirst) {
  const std::string bytes = grid_pgm(sample_map().grid);
  const cv::Mat picture = cv::imdecode(std::vector<std::uint8_t>(bytes.begin(), bytes.end()), cv::IMREAD_UNCHANGED);
  ASSERT_EQ(picture.type(), CV_8UC1);
  ASSERT_EQ(picture.cols, 3);
  ASSERT_EQ(picture.rows, 2);
  const std::vector<int> expected = {128, 127, 5, 255, 191, 0};
  for (int i = 0; i < 6; ++i) {
    EXPECT_EQ(picture.at<std::uint8_t>(i / 3, i % 3), expected[static_cast<std::size_t>(i)]) << i;
  }
}

TEST(GridWriter, YamlReadsBack) {
  const Map map = sample_map();
  const std::string text = grid_yaml(map.grid.frame, {0.1, -0.2, 6.5}, sample_drive(), sample_origin());
  EXPECT_EQ(text.rfind("wainscot_map: 1\n", 0), 0U);
  EXPECT_NE(text.find("cell_size_m: 0.05\n"), std::string::npos);
  const YAML::Node yaml = YAML::Load(text);
  EXPECT_EQ(yaml["raster"].as<std::string>(), "grid.pgm");
  EXPECT_EQ(yaml["columns"].as<int>(), 3);
  EXPECT_EQ(yaml["rows"].as<int>(), 2);
  EXPECT_DOUBLE_EQ(yaml["lower_left_corner"]["x_m"].as<double>(), -1.85);
  EXPECT_DOUBLE_EQ(yaml["lower_left_corner"]["y_m"].as<double>(), 0.2);
  EXPECT_EQ(yaml["levels"]["occupied"].as<int>(), 0);
  EXPECT_EQ(yaml["levels"]["free"].as<int>(), 255);
  EXPECT_EQ(yaml["levels"]["unseen"].as<int>(), 128);
  EXPECT_NEAR(yaml["first_pose"]["heading_rad"].as<double>(), 6.5 - 6.283185307, 1e-9);
  EXPECT_EQ(yaml["drives"][0]["name"].as<std::string>(), sample_drive().name);
  EXPECT_EQ(yaml["drives"][0]["checksum"].as<std::string>(), "0123abcd");
  EXPECT_TRUE(yaml["drives"][0]["simulated"].as<bool>());
  EXPECT_EQ(yaml["program_version"].as<std::string>(), "9.8.7");
  EXPECT_EQ(yaml["caution"].as<std::string>(), map_caution);
  EXPECT_FALSE(yaml["frame_set_by"]);
}

TEST(GridWriter, YamlSaysWhenTheFrameIsAnother) {
  MapOrigin origin = sample_origin();
  origin.frame = FrameSetBy::walls;
  const YAML::Node yaml = YAML::Load(grid_yaml(sample_map().grid.frame, {}, sample_drive(), origin));
  EXPECT_EQ(yaml["frame_set_by"].as<std::string>(), "walls");
}

TEST(GridWriter, YamlNamesEachDrive) {
  const YAML::Node yaml = YAML::Load(grid_yaml(sample_map().grid.frame, {}, sample_drives(), sample_origin()));
  ASSERT_EQ(yaml["drives"].size(), 2U);
  EXPECT_EQ(yaml["drives"][1]["name"].as<std::string>(), "tuesday");
  EXPECT_EQ(yaml["drives"][1]["checksum"].as<std::string>(), "4567");
}

}  // namespace
}  // namespace wainscot
