#include "io/draw/svg_frame.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(SvgFrame, AFileBringsItsStyleAndAPageDoesNot) {
  const std::string file = svg_begin(100.0, 50.5, "plan of <b>", SvgUse::file);
  EXPECT_EQ(file.rfind("<?xml", 0), 0u);
  EXPECT_NE(file.find("viewBox=\"0 0 100 50.5\""), std::string::npos);
  EXPECT_NE(file.find("<title>plan of &lt;b&gt;</title>"), std::string::npos);
  EXPECT_NE(file.find(svg_style), std::string::npos);
  const std::string page = svg_begin(100.0, 50.5, "plan", SvgUse::page);
  EXPECT_EQ(page.find("<style"), std::string::npos);
  EXPECT_NE(page.find("aria-label=\"plan\""), std::string::npos);
}

TEST(SvgFrame, TextsAreEscapedAndCountedInCharacters) {
  EXPECT_EQ(svg_text(1.0, 2.25, "a < b", "end"), "<text x=\"1\" y=\"2.25\" class=\"end\">a &lt; b</text>\n");
  EXPECT_DOUBLE_EQ(svg_text_width_px("m²"), svg_text_width_px("mm"));
}

TEST(SvgFrame, APolylineHasItsPoints) {
  SvgPolyline line;
  line.add(1.0, 2.0);
  line.add(3.456, -0.001);
  EXPECT_EQ(line.element("line s0"), "<polyline class=\"line s0\" points=\"1,2 3.46,0\"/>\n");
}

}  // namespace
}  // namespace wainscot
