#include "io/draw/svg_frame.hpp"

#include <cmath>

#include <fmt/format.h>

#include "io/markup.hpp"
#include "io/number_text.hpp"

namespace wainscot {

const std::string_view svg_style = R"(
.back{fill:#fff}
.unseen{fill:#e6e9e3}
.floor{fill:#fff}
.wall{fill:#22302c}
.only-first{fill:#2b63c4}
.only-second{fill:#cc5a14}
.line{fill:none;stroke-width:1.6;stroke-linejoin:round;stroke-linecap:round}
.s0{stroke:#17705f}
.s1{stroke:#b9531c;stroke-dasharray:6 4}
.s2{stroke:#4a5fc1;stroke-dasharray:2 4}
.s3{stroke:#8a6d00;stroke-dasharray:10 3 2 3}
.s4{stroke:#22302c}
.d0{fill:#17705f}.d1{fill:#b9531c}.d2{fill:#4a5fc1}.d3{fill:#8a6d00}.d4{fill:#22302c}
.axis{fill:none;stroke:#22302c;stroke-width:1.2}
.rule{fill:none;stroke:#d5dad2;stroke-width:1}
.bar{fill:none;stroke:#22302c;stroke-width:4}
text{fill:#22302c;font:15px system-ui,"DejaVu Sans",sans-serif}
.end{text-anchor:end}
.middle{text-anchor:middle}
.strong{font-weight:600}
)";

std::string svg_begin(double width_px, double height_px, std::string_view title, SvgUse use) {
  const std::string size = svg_number(width_px) + " " + svg_number(height_px);
  const std::string name = html_text(title);
  if (use == SvgUse::page) {
    return fmt::format("<svg viewBox=\"0 0 {}\" role=\"img\" aria-label=\"{}\">\n", size, name);
  }
  return fmt::format(
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {}\" "
      "width=\"{}\" height=\"{}\" role=\"img\" aria-label=\"{}\">\n<title>{}</title>\n<style>{}</style>\n"
      "<rect class=\"back\" width=\"{}\" height=\"{}\"/>\n",
      size, svg_number(width_px), svg_number(height_px), name, name, svg_style, svg_number(width_px),
      svg_number(height_px));
}

std::string svg_end() { return "</svg>\n"; }

std::string svg_text(double x_px, double y_px, std::string_view text, std::string_view classes) {
  return fmt::format("<text x=\"{}\" y=\"{}\"{}>{}</text>\n", svg_number(x_px), svg_number(y_px),
                     classes.empty() ? "" : fmt::format(" class=\"{}\"", classes), html_text(text));
}

double svg_text_width_px(std::string_view text) {
  double width_px = 0.0;
  for (const char c : text) {
    // Bytes that go on with a character of UTF-8 have no width of their own.
    if ((static_cast<unsigned char>(c) & 0xC0U) != 0x80U) width_px += 9.0;
  }
  return width_px;
}

std::string svg_number(double value_px) { return short_text(value_px, 2); }

void SvgPolyline::add(double x_px, double y_px) {
  if (!points_.empty()) points_ += ' ';
  points_ += svg_number(x_px) + "," + svg_number(y_px);
}

std::string SvgPolyline::element(std::string_view classes) const {
  return fmt::format("<polyline class=\"{}\" points=\"{}\"/>\n", classes, points_);
}

}  // namespace wainscot
