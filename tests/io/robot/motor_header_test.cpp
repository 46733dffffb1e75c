#include "io/robot/motor_header.hpp"

#include <array>
#include <cstdio>
#include <cstdlib>

#include <gtest/gtest.h>

#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

/// What a C program that includes the header prints.
std::string compiled_and_run(const std::string& header, const std::string& prints) {
  const ReaderFolder folder;
  folder.write("wheel_constants.h", header);
  folder.write("main.c",
               "#include <stdio.h>\n#include \"wheel_constants.h\"\n#include \"wheel_constants.h\"\n"
               "int main(void) { printf(\"" +
                   prints + "); return 0; }\n");
  const std::string at = folder.path().string();
  const std::string command =
      "cc -std=c90 -pedantic -Wall -Wextra -Werror -o " + at + "/main " + at + "/main.c && " + at + "/main";
  std::FILE* pipe = popen(command.c_str(), "r");
  std::array<char, 200> line{};
  const char* read = std::fgets(line.data(), line.size(), pipe);
  EXPECT_EQ(pclose(pipe), 0);
  return read != nullptr ? read : "";
}

TEST(MotorHeader, IsCThatACompilerTakes) {
  const MotorConstants constants{
      1e-4, -2e-4, 0.36, {{"wood", 0.36}, {"thick */ carpet", 0.3816}, {"THICK    CARPET", 0.4}}};
  const std::string header = motor_header(constants, "From runs */ int x;");
  // A degree is 0.18 m * pi / 180 = 3.14159 mm of each wheel.
  EXPECT_EQ(
      compiled_and_run(header,
                       "%.3f %.3f %.3f %.3f %.3f\", LEFT_TICKS_PER_MM, RIGHT_TICKS_PER_MM, "
                       "LEFT_TICKS_PER_DEGREE, RIGHT_TICKS_PER_DEGREE_WOOD, LEFT_TICKS_PER_DEGREE_THICK____CARPET"),
      "10.000 -5.000 -31.416 -15.708 -33.301");
  EXPECT_NE(header.find("LEFT_TICKS_PER_DEGREE_THICK____CARPET_2 "), std::string::npos) << header;
}

}  // namespace
}  // namespace wainscot
