#include "io/robot/yaml_section.hpp"

#include <gtest/gtest.h>

#include <string>

#include "core/errors.hpp"

namespace wainscot {
namespace {

YamlSection lidar_section(const std::string& text) {
  return {"robot.yaml", "lidar", YAML::Load(text), {"x_m", "y_m", "mirrored", "sweep_s"}, {"drive.track_width_m"}};
}

template <typename Read>
std::string section_refusal(const Read& read) {
  try {
    read();
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}

TEST(YamlSection, LeavesWhatIsNotThereAsItIs) {
  const YamlSection section = lidar_section("x_m: 0.25\nmirrored: true\n");
  double x_m = 0.0;
  double y_m = -1.5;
  bool mirrored = false;
  section.set_number("x_m", {-1.0, 1.0}, x_m);
  section.set_number("y_m", {-2.0, 2.0}, y_m);
  section.set_flag("mirrored", mirrored);
  EXPECT_EQ(x_m, 0.25);
  EXPECT_EQ(y_m, -1.5);
  EXPECT_TRUE(mirrored);
  EXPECT_FALSE(section.number("sweep_s", {0.0, 10.0}).has_value());
  EXPECT_EQ(section.text("x_m"), "0.25");
  EXPECT_FALSE(YamlSection("robot.yaml", "lidar", YAML::Node(), {"x_m"}).text("x_m").has_value());
}

TEST(YamlSection, TakesOneOfAFewNumbers) {
  const YamlSection gyro("robot.yaml", "gyro", YAML::Load("sign: -1"), {"sign"});
  int sign = 1;
  gyro.set_choice("sign", {1, -1}, sign);
  EXPECT_EQ(sign, -1);
  EXPECT_EQ(section_refusal([&] {
              gyro.set_choice("sign", {1, 2}, sign);
            }),
            "robot.yaml:1: gyro.sign is '-1'; write 1 or 2");
}

TEST(YamlSection, NumbersAreFiniteAndWithinTheirBounds) {
  const auto read = [](const std::string& text, double least) {
    return section_refusal([&] { lidar_section("y_m: 0\n" + text).number("x_m", {least, 10.0}); });
  };
  EXPECT_EQ(read("x_m: 10", 0.0), "");
  EXPECT_EQ(read("x_m: 11", -1.0),
            "robot.yaml:2: lidar.x_m is 11, which is not possible; write at least -1 and at most 10");
  EXPECT_EQ(read("x_m: 0", kTiny),
            "robot.yaml:2: lidar.x_m is 0, which is not possible; write more than 0 and at most 10");
  EXPECT_EQ(read("x_m: [1]", 0.0), "robot.yaml:2: lidar.x_m is a list or a section; write a single value");
  EXPECT_EQ(read("x_m: nan", 0.0).rfind("robot.yaml:2: lidar.x_m ", 0), 0U);
}

TEST(YamlSection, OfAnUnknownKeyTheNearestIsNamed) {
  EXPECT_NE(section_refusal([] { lidar_section("x_mm: 1"); }).find("the nearest known one is lidar.x_m:"),
            std::string::npos);
  EXPECT_NE(
      section_refusal([] { lidar_section("track_width_m: 1"); }).find("the nearest known one is drive.track_width_m:"),
      std::string::npos);
  EXPECT_NE(
      section_refusal([] { YamlSection("a.yaml", "", YAML::Load("3"), {"first"}); }).find("begin it with first: 1"),
      std::string::npos);
}

}  // namespace
}  // namespace wainscot
