#include <string>

#include <gtest/gtest.h>

#include "tests/apps/command_line.hpp"

namespace wainscot {
namespace {

TEST_F(CommandLine, DrawsSvgByTheNamesEnding) {
  ASSERT_EQ(run("build drive --out '<script>x' --quiet").status, 0);
  ASSERT_EQ(run("draw '<script>x' --out plan.SVG").status, 0);
  const std::string svg = content(folder_.path() / "plan.SVG");
  EXPECT_EQ(svg.find("<script"), std::string::npos);
  EXPECT_NE(svg.find("Plan of &lt;script&gt;x"), std::string::npos);
  EXPECT_NE(svg.find("y, metres (map frame)"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
