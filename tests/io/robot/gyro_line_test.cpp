#include "io/robot/gyro_line.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(GyroLine, HasWhatTheDriveSettledAndTheRestAsStated) {
  Robot robot;
  robot.gyro = {-1, 1.0, 0.002, 0.005};
  Map map;
  map.constants.push_back({"gyro.bias_rad_s", "rad/s", 0.002, 0.02, 0.0123456, 0.00012, true});
  map.constants.push_back({"gyro.scale", "1", 1.0, 0.02, 0.99, 0.015, false});
  EXPECT_EQ(gyro_line(map, robot), "gyro: {sign: -1, scale: 1, bias_rad_s: 0.01235, sd_rad_s: 0.005}");
  map.constants[1].found_sd = 0.0012;
  map.constants[1].observed = true;
  EXPECT_EQ(gyro_line(map, robot), "gyro: {sign: -1, scale: 0.9900, bias_rad_s: 0.01235, sd_rad_s: 0.005}");
}

TEST(GyroLine, IsEmptyWithoutAGyro) {
  EXPECT_EQ(gyro_line(Map{}, Robot{}), "");
  Map unsettled;
  unsettled.constants.push_back({"gyro.scale", "1", 1.0, 0.02, 0.99, 0.015, false});
  EXPECT_EQ(gyro_line(unsettled, Robot{}), "");
}

}  // namespace
}  // namespace wainscot
