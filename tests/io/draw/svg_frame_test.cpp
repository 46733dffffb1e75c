#include "io/draw/svg_frame.hpp"

#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "io/draw/palette.hpp"

namespace wainscot {
namespace {

TEST(SvgFrame, AFileBringsItsStyleAndAPageDoesNot) {
  const std::string file = svg_begin(100.0, 50.5, "plan of <b>", SvgUse::file);
  EXPECT_EQ(file.rfind("<?xml", 0), 0u);
  EXPECT_NE(file.find("viewBox=\"0 0 100 50.5\""), std::string::npos);
  EXPECT_NE(file.find("<title>plan of &lt;b&gt;</title>"), std::string::npos);
  EXPECT_NE(file.find("<style>\n.back{fill:#ffffff}"), std::string::npos) << file;
  EXPECT_EQ(file.find("var("), std::string::npos) << "programs that are no browsers read it";
  const std::string page = svg_begin(100.0, 50.5, "plan", SvgUse::page);
  EXPECT_EQ(page.find("<style"), std::string::npos);
  EXPECT_NE(page.find("aria-label=\"plan\""), std::string::npos);
}

TEST(SvgFrame, TextsAreEscapedAndCountedInCharacters) {
  EXPECT_EQ(svg_text(1.0, 2.25, "a < b", "end"), "<text x=\"1\" y=\"2.25\" class=\"end\">a &lt; b</text>\n");
  EXPECT_DOUBLE_EQ(svg_text_width_px("m²"), svg_text_width_px("mm"));
}

// A letter counts for nine pixels.
TEST(SvgFrame, TextsAreWrappedAtWords) {
  EXPECT_EQ(svg_wrapped("one two three", 72.0), (std::vector<std::string>{"one two", "three"}));
  EXPECT_EQ(svg_wrapped("unbreakable", 20.0), std::vector<std::string>{"unbreakable"});
  EXPECT_EQ(svg_wrapped("", 20.0), std::vector<std::string>{""});
}

// The pictures of pixels take the strokes and gaps from the palette.
TEST(SvgFrame, OdometryIsDashedAsInThePalette) {
  const std::string rule =
      "stroke-dasharray:" + svg_number(odometry_dash_px[0]) + " " + svg_number(odometry_dash_px[1]);
  EXPECT_NE(svg_style.find(".odometry{color:var(--odometry);" + rule + "}"), std::string_view::npos) << rule;
}

TEST(SvgFrame, APolylineHasItsPoints) {
  SvgPolyline line;
  line.add(1.0, 2.0);
  line.add(3.456, -0.001);
  EXPECT_EQ(line.element("line path"), "<polyline class=\"line path\" points=\"1,2 3.46,0\"/>\n");
}

}  // namespace
}  // namespace wainscot
