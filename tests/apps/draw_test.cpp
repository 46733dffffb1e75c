// The command `draw`, run with the real program as a user runs it.

#include <string>

#include <gtest/gtest.h>

#include "tests/apps/command_line.hpp"

namespace wainscot {
namespace {

class DrawCommand : public CommandLine {};

TEST_F(DrawCommand, DrawsPixels) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  const Outcome draw = run("draw flat --out plan.png --width 800");
  EXPECT_EQ(draw.status, 0) << draw.err;
  EXPECT_EQ(draw.out, "");
  EXPECT_EQ(draw.err, "Written to plan.png (simulated). Its coordinates are those that wainscot measure takes.\n");
  const std::string png = content(folder_.path() / "plan.png");
  EXPECT_EQ(png.substr(1, 3), "PNG");
  // The width stands in bytes 16 to 19, most significant first (ISO/IEC 15948, 11.2.2).
  const int width = static_cast<unsigned char>(png[18]) * 256 + static_cast<unsigned char>(png[19]);
  EXPECT_NEAR(width, 800, 200);
  expect_refused("draw flat --out plan.png", 2, "--replace");
  EXPECT_EQ(run("draw flat --out plan.png --width 800 --replace").status, 0);
  EXPECT_EQ(content(folder_.path() / "plan.png"), png) << "the same map gives the same bytes";
}

TEST_F(DrawCommand, DrawsSvgByTheNamesEnding) {
  ASSERT_EQ(run("build drive --out '<script>x' --quiet").status, 0);
  ASSERT_EQ(run("draw '<script>x' --out plan.SVG").status, 0);
  const std::string svg = content(folder_.path() / "plan.SVG");
  EXPECT_EQ(svg.find("<script"), std::string::npos);
  EXPECT_NE(svg.find("Plan of &lt;script&gt;x"), std::string::npos);
  EXPECT_NE(svg.find("y, metres (map frame)"), std::string::npos);
}

TEST_F(DrawCommand, OfSeveralDrivesAllAreDrawn) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  ASSERT_EQ(run("draw flat --out one.svg").status, 0);
  add_second_drive(folder_.path() / "flat");
  const Outcome drawn = run("draw flat --out two.svg");
  ASSERT_EQ(drawn.status, 0) << drawn.err;
  EXPECT_EQ(drawn.err.rfind("Written to two.svg (simulated).", 0), 0U) << drawn.err;
  const auto count = [this](const std::string& name, const std::string& part) {
    const std::string text = content(folder_.path() / name);
    std::size_t found = 0;
    for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++found;
    return found;
  };
  EXPECT_EQ(count("one.svg", "<polyline class=\"line path\""), 1U);
  EXPECT_EQ(count("two.svg", "<polyline class=\"line path\""), 1U);
  EXPECT_EQ(count("two.svg", "<polyline class=\"line path-2\""), 1U);
  EXPECT_EQ(count("two.svg", "<polyline class=\"line odometry\""), 2U);
  EXPECT_EQ(count("two.svg", "starts of the drives"), 1U);
  EXPECT_EQ(run("draw flat --out two.png").status, 0);
}

TEST_F(DrawCommand, LeavesOutOdometryWhereToldTo) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  ASSERT_EQ(run("draw flat --out with.svg").status, 0);
  ASSERT_EQ(run("draw flat --out without.svg --no-odometry").status, 0);
  EXPECT_NE(content(folder_.path() / "with.svg").find("odometry alone"), std::string::npos);
  EXPECT_NE(content(folder_.path() / "without.svg").find("path found"), std::string::npos);
  EXPECT_EQ(content(folder_.path() / "without.svg").find("odometry alone"), std::string::npos);
}

TEST_F(DrawCommand, RefusesWrongInput) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  expect_refused("draw flat", 2, "--out");
  expect_refused("draw --out plan.svg", 2, "MAP");
  expect_refused("draw drive --out plan.png", 2, "drive: is the folder of a drive, not of a map");
  expect_refused("draw absent --out plan.png", 2, "absent");
  expect_refused("draw flat --out flat.jpg", 2, "end in .png or .svg");
  expect_refused("draw flat --out plan", 2, "end in .png or .svg");
  expect_refused("draw flat --out absent/plan.svg", 2, "absent/plan.svg: cannot be written");
  expect_refused("draw flat --out plan.png --width 299", 2, "--width");
  expect_refused("draw flat --out plan.png --width 10001", 2, "--width");
}

}  // namespace
}  // namespace wainscot
