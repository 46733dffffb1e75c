#include "io/draw/svg_frame.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "io/draw/palette.hpp"
#include "io/markup.hpp"
#include "io/number_text.hpp"

namespace wainscot {

// A wall keeps a pixel of its own however small the picture is shown, so that it is not lost beside a path.
const std::string_view svg_style = R"(
.back{fill:var(--card)}
.unseen{fill:var(--unseen)}
.floor{fill:var(--floor)}
.wall,.gone,.new{stroke-width:1;vector-effect:non-scaling-stroke}
.wall{fill:var(--wall);stroke:var(--wall)}
.gone{fill:var(--gone);stroke:var(--gone)}
.new{fill:var(--new);stroke:var(--new)}
.line{fill:none;stroke:currentColor;stroke-width:1.6;stroke-linejoin:round;stroke-linecap:butt}
.spot{fill:currentColor}
.path{color:var(--path)}
.path-2{color:var(--path-2)}
.path-3{color:var(--path-3)}
.odometry{color:var(--odometry);stroke-dasharray:6 5}
.odometry-2{color:var(--odometry);stroke-dasharray:2 4}
.truth{color:var(--truth);stroke-width:4}
.axis{fill:none;stroke:var(--ink);stroke-width:1.2}
.rule{fill:none;stroke:var(--line);stroke-width:1}
.bar{fill:none;stroke:var(--ink);stroke-width:4}
text{fill:var(--ink);font:15px system-ui,"DejaVu Sans",sans-serif}
.halo{stroke:var(--floor);stroke-width:4;stroke-linejoin:round;paint-order:stroke}
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
      size, svg_number(width_px), svg_number(height_px), name, name, with_plain_colours(svg_style),
      svg_number(width_px), svg_number(height_px));
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

std::vector<std::string> svg_wrapped(std::string_view text, double width_px) {
  std::vector<std::string> lines(1);
  while (!text.empty()) {
    const std::string_view word = text.substr(0, text.find(' '));
    text.remove_prefix(std::min(text.size(), word.size() + 1));
    const std::string longer = lines.back() + (lines.back().empty() ? "" : " ") + std::string(word);
    if (lines.back().empty() || svg_text_width_px(longer) <= width_px) {
      lines.back() = longer;
    } else {
      lines.emplace_back(word);
    }
  }
  return lines;
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
