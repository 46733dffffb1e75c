#include "io/robot/robot_section.hpp"

#include <gtest/gtest.h>

#include <string>

#include "core/errors.hpp"

namespace wainscot {
namespace {

RobotSection lidar(const std::string& text) { return {"robot.yaml", "lidar", YAML::Load(text)}; }

template <typename Read>
std::string refusal_of(const Read& read) {
  try {
    read();
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}

TEST(RobotSection, KeysAreKnownAndThereOnce) {
  EXPECT_EQ(
      refusal_of([] { lidar("y_m: 1\nhigh_m: 2\n"); }).rfind("robot.yaml:2: the key lidar.high_m is not known", 0), 0U);
  // Of another section.
  EXPECT_NE(refusal_of([] { lidar("counter_bits: 16"); }).find("the nearest known one is drive.counter_bits"),
            std::string::npos);
  EXPECT_EQ(refusal_of([] { lidar("x_m: 1\nx_m: 2\n"); }), "robot.yaml:2: lidar.x_m is there twice; remove one");
}

}  // namespace
}  // namespace wainscot
