#pragma once

// The colours of all pictures and pages, named by what they mean: one colour means one thing in report, compare,
// explain, draw and export. tests/io/draw/palette_test.cpp shows that they can be told apart by the colour-blind too.

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>

namespace wainscot {

struct Colour {
  std::uint8_t red = 0;
  std::uint8_t green = 0;
  std::uint8_t blue = 0;
};

/// What a colour is used for; colours of one kind are told apart by the colour alone, others also by their form.
enum class ColourKind {
  ground,   ///< what pictures are drawn on, and the page round them
  letters,  ///< text, axes, walls, edges of controls
  line,     ///< thin lines
  dot,      ///< dots and ellipses
  thing,    ///< thick strokes and filled cells: what was there at one time only
  level,    ///< how sure a place is, the surest first
};

struct NamedColour {
  std::string_view name;
  ColourKind kind;
  Colour on_light;
  Colour on_dark;
};

/// Every colour that there is.
std::span<const NamedColour> palette();

/// A name that the palette does not have is a fault of the program: throws `std::logic_error`.
const NamedColour& named_colour(std::string_view name);

/// "#rrggbb".
std::string colour_text(const Colour& colour);

/// The path of a map's drive, counted from 1: "path", "path-2" or "path-3", and from the fourth on again.
std::string_view colour_of_drive(std::size_t drive);

/// Strokes and gaps of odometry's path, in pixels.
constexpr std::array<double, 2> odometry_dash_px = {6.0, 5.0};

/// Style sheet of a page: each colour as a custom property, "--path", with the dark ones where the screen is dark, and
/// "--odometry-dash". Paper is light.
std::string palette_css();

/// A style sheet in which each var(--NAME) is replaced by the colour on light ground, for files that programs other
/// than browsers read. Throws as `named_colour`.
std::string with_plain_colours(std::string_view css);

}  // namespace wainscot
