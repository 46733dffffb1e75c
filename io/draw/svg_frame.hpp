#pragma once

// What all SVG pictures share: beginning and end, texts, and one style sheet, which a page holds once for all pictures
// in it and a file for itself. Its colours are those of the palette, in a file those on light ground.
//
// W3C Scalable Vector Graphics (SVG) 1.1, second edition, 2011.

#include <string>
#include <string_view>
#include <vector>

namespace wainscot {

enum class SvgUse {
  file,  ///< a document of its own, with the style sheet
  page,  ///< an element of a page, which brings the style sheet
};

/// Rules for the classes that the pictures use: colours, as custom properties of the palette, strokes and letters.
extern const std::string_view svg_style;

/// The picture's first tag; `title` says what it shows, also to those who cannot see it. Any text; it is escaped.
std::string svg_begin(double width_px, double height_px, std::string_view title, SvgUse use);

std::string svg_end();

/// One line of text; `classes` may hold `end` or `middle` for where (x, y) lies on it, otherwise its beginning.
std::string svg_text(double x_px, double y_px, std::string_view text, std::string_view classes = "");

/// About how wide a text is in the style sheet's letters: browsers differ by a tenth.
double svg_text_width_px(std::string_view text);

/// The text in lines of whole words, each about as wide as `width_px` at most.
std::vector<std::string> svg_wrapped(std::string_view text, double width_px);

/// A coordinate: two decimals.
std::string svg_number(double value_px);

/// Points of a polyline with a class.
class SvgPolyline {
 public:
  void add(double x_px, double y_px);
  std::string element(std::string_view classes) const;

 private:
  std::string points_;
};

}  // namespace wainscot
